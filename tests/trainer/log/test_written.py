"""Score and settings as text and back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from handmade_takes import small_score

from audio.heard import Anchor
from trainer.formats import read_path
from trainer.library import exercises
from trainer.log.written import (
    anchors_of,
    anchors_table,
    canonical,
    digest,
    score_of,
    score_text,
    settings_of,
    settings_table,
)
from trainer.practice.settings import Settings


def test_a_score_comes_back_with_everything_it_says() -> None:
    score = small_score()
    again = score_of(score_text(score))
    assert again == score
    assert again.digest() == score.digest()
    assert again.bars() == score.bars()


def test_every_shipped_exercise_comes_back() -> None:
    for exercise in exercises():
        score = read_path(exercise.path)
        assert score_of(score_text(score)) == score


def test_equal_scores_have_equal_text_whatever_file_they_stood_in() -> None:
    score = small_score()
    elsewhere = replace(score, origin=replace(score.origin, path="elsewhere.drill", line=9))
    assert score_text(elsewhere) == score_text(score)
    assert digest(score_text(replace(score, title="Other"))) != digest(score_text(score))


def test_settings_come_back_exactly() -> None:
    told = Settings(
        a4_hz=442.5, against="pure", tolerance_cents=15, octave="free", tempo_qpm=Fraction(121, 3),
        starts_at_s=Fraction(-7, 3), alone=True, delay_known=False,
    )  # fmt: skip
    assert settings_of(settings_table(told)) == told
    assert settings_of(settings_table(Settings())) == Settings()


def test_settings_of_an_older_version_get_the_defaults_of_what_they_lack() -> None:
    table = settings_table(Settings(octave="strict"))
    del table["alone"], table["delay_known"]
    assert settings_of(table) == Settings(octave="strict")
    assert settings_of({**table, "unheard_of": 3}) == Settings(octave="strict")


def test_anchors_come_back_exactly() -> None:
    anchors = (Anchor(-5, Fraction(0), Fraction(60)), Anchor(9, Fraction(22, 7), Fraction(121, 2)))
    assert anchors_of(anchors_table(anchors)) == anchors


def test_canonical_text_is_plain_ascii_in_one_order() -> None:
    assert canonical({"b": 1, "a": "ü"}) == '{"a":"\\u00fc","b":1}'
    with pytest.raises(ValueError, match="Out of range"):
        canonical(float("nan"))
