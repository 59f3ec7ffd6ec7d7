"""Bars over takes: hard from three takes on, kept through edits, told before and after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from handmade_takes import TENOR
from kept_takes import NOBODY, keep

from trainer.library import resolve
from trainer.log.store import Store
from trainer.practice.signs import Sign
from trainer.reports.look import Look
from trainer.reports.stumbles import stumbles_as_text, stumbles_to_json
from trainer.score.change import cut
from trainer.score.model import Line, Score
from trainer.score.naming import Names
from trainer.score.pitch import Pitch
from trainer.takes.plans import stumbles

LINE = 2


@pytest.fixture(scope="module")
def score() -> Score:
    found = resolve("Ferry Bell at Low Water")
    assert tuple(str(note.pitch) for note in found.lines[LINE].notes) == TENOR
    return found


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "takes.db") as opened:
        yield opened


def sing(store: Store, score: Score, *failed: int, times: int = 1) -> None:
    for _ in range(times):
        keep(store, score, LINE, "2026-03-01T19:00:00Z", dict.fromkeys((bar - 1 for bar in failed), Sign.PULLED))


def rewritten(score: Score, bar: int, pitch: str) -> Score:
    """The tenor's note of one bar changed."""
    notes = list(score.lines[LINE].notes)
    notes[bar - 1] = replace(notes[bar - 1], pitch=Pitch.parse(pitch))
    lines = list(score.lines)
    lines[LINE] = Line(lines[LINE].name, tuple(notes))
    return replace(score, lines=tuple(lines), title="Under another name")


def text(store: Store, score: Score) -> str:
    found = stumbles(store, score, LINE)
    assert found is not None
    return "\n".join(stumbles_as_text(found, Look(width=200)))


def test_a_bar_that_fails_in_most_takes_is_hard_and_how_many_say_so_is_told(store: Store, score: Score) -> None:
    sing(store, score, 7, times=5)
    sing(store, score, 3)
    told = text(store, score)
    assert "Bar 7 is hard for this line: 5 of 6 takes, pulled to alto in 5." in told
    assert "Bar 3" not in told
    assert "From 6 takes, sung between D#3 and C#4" in told


def test_whose_takes_they_were_is_told_in_the_singers_own_letters(store: Store, score: Score) -> None:
    sing(store, score, 7, times=3)
    found = stumbles(store, score, LINE)
    assert found is not None
    told = "\n".join(stumbles_as_text(replace(found, names=Names("german")), Look(width=200)))
    assert "sung between dis and cis'" in told


def test_two_takes_are_too_few(store: Store, score: Score) -> None:
    sing(store, score, 7, times=2)
    assert "hard for" not in text(store, score)
    assert "from 3 on" in text(store, score)
    sing(store, score, 7)
    assert "Bar 7 is hard for this line: 3 of 3 takes" in text(store, score)


def test_half_of_the_takes_are_not_most(store: Store, score: Score) -> None:
    sing(store, score, 7, times=2)
    sing(store, score, times=2)
    assert "No bar failed in most takes." in text(store, score)


def test_takes_stay_with_the_bars_that_an_edit_left_alone(store: Store, score: Score) -> None:
    sing(store, score, 7, 9, times=4)
    edited = rewritten(score, 7, "B3")
    sing(store, edited, times=1)
    found = stumbles(store, edited, LINE)
    assert found is not None
    by_bar = {bar.bar: bar for bar in found.bars}
    assert (by_bar[9].takes, by_bar[9].failed) == (5, 4)
    assert (by_bar[7].takes, by_bar[7].failed, by_bar[7].before) == (1, 0, (4, 4))
    assert "Bar 7 was rewritten: before, failed in 4 of 4 takes; now, failed in 0 of 1 take." in text(store, edited)


def test_the_music_as_it_was_is_still_told_as_it_was(store: Store, score: Score) -> None:
    sing(store, score, 7, times=4)
    sing(store, rewritten(score, 7, "B3"), times=1)
    found = stumbles(store, score, LINE)
    assert found is not None
    assert {bar.bar: (bar.takes, bar.failed) for bar in found.bars}[7] == (4, 4)


def test_takes_of_an_excerpt_count_for_their_bars_in_the_whole(store: Store, score: Score) -> None:
    sing(store, score)
    part = cut(score, 6, 7)
    for _ in range(3):
        keep(store, part, LINE, "2026-03-01T19:00:00Z", {1: Sign.OFF})
    found = stumbles(store, score, LINE)
    assert found is not None
    counts = {bar.bar: (bar.takes, bar.failed) for bar in found.bars}
    assert counts[5] == (1, 0)
    assert counts[6] == (4, 0)
    assert counts[7] == (4, 3)


def test_another_exercise_has_its_own_map(store: Store, score: Score) -> None:
    sing(store, score, 7, times=3)
    assert stumbles(store, resolve("Eleven Lamps"), 1) is None
    assert stumbles(store, score, 0) is None


def test_takes_in_the_bin_are_left_out(store: Store, score: Score) -> None:
    sing(store, score, 7, times=4)
    store.remove(1, "2026-03-02T00:00:00Z")
    found = stumbles(store, score, LINE)
    assert found is not None
    assert (found.takes, found.hardest[0].takes) == (3, 3)


def test_what_company_costs_is_told_from_the_latest_takes_alone_and_against_all(store: Store, score: Score) -> None:
    keep(store, score, LINE, "2026-03-01T19:00:00Z", {1: Sign.OFF}, beside=NOBODY)
    assert "company" not in text(store, score)
    keep(store, score, LINE, "2026-03-01T19:00:00Z", {1: Sign.OFF, 8: Sign.PULLED, 9: Sign.PULLED})
    assert "Alone you held bars 9 to 10; company costs you 2 bars of 11, to the alto." in text(store, score)
    keep(store, score, LINE, "2026-03-02T19:00:00Z", {1: Sign.OFF})
    assert "Alone and against all the same bars are held." in text(store, score)


def test_json_has_every_bar(store: Store, score: Score) -> None:
    sing(store, score, 7, times=3)
    found = stumbles(store, score, LINE)
    assert found is not None
    told = stumbles_to_json(found)
    assert [bar["bar"] for bar in told["bars"]] == list(range(1, 12))
    assert told["bars"][6] == {
        "bar": 7, "printed_bar": "7", "takes": 3, "failed": 3, "hard": True, "causes": {"pulled": 3}, "pulled_to": {"alto": 3},
        "before": None,
    }  # fmt: skip
    assert (told["takes"], told["lowest"], told["highest"]) == (3, "D#3", "C#4")
