"""What the library ships is correct by the rules that it names, and the drills written by hand by every shipped set."""

from __future__ import annotations

import pytest

from trainer.formats import read_path
from trainer.library import Exercise, exercises
from trainer.rules.checking import check
from trainer.rules.ruleset import SHIPPED, shipped

BY_HAND = 17
"""The first numbers of the library."""


def forbidden(exercise: Exercise, rules: str) -> list[str]:
    report = check(read_path(exercise.path), shipped(rules))
    return [f"{one.rule} {one.bar}-{one.to_bar}" for one in report.findings if one.strictness == "forbidden"]


def test_every_exercise_is_correct_by_its_own_rules() -> None:
    for exercise in exercises():
        named = read_path(exercise.path).fact("rules")
        assert named in SHIPPED, exercise.title
        assert forbidden(exercise, named) == [], exercise.title


@pytest.mark.parametrize("rules", SHIPPED)
def test_the_drills_written_by_hand_are_correct_by_every_set(rules: str) -> None:
    drills = [exercise for exercise in exercises() if exercise.number <= BY_HAND]
    assert len(drills) == BY_HAND
    assert {exercise.title: found for exercise in drills if (found := forbidden(exercise, rules))} == {}
