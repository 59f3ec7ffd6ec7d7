"""Rehearsals, notes on bars and the copies' numbers in the store: kept by the music, brought back, purged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from kept_takes import keep

from trainer.library import resolve
from trainer.log.rehearsals import Rehearsal, Rehearsals
from trainer.log.store import Store
from trainer.practice.beside import Beside
from trainer.score.model import Score
from trainer.score.pitch import Pitch

TENOR = 2
WHEN, LATER = "2026-11-24T19:00:00Z", "2026-11-24T19:20:00Z"
KEY = "ab" * 16


@pytest.fixture
def store(tmp_path: Path):
    with Store(tmp_path / "takes.db") as opened:
        yield opened


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def corrected(score: Score, bar: int) -> Score:
    """Another note for the bass in that bar."""
    line = score.lines[3]
    notes = [replace(n, pitch=Pitch.parse("E2")) if k == bar - 1 else n for k, n in enumerate(line.notes)]
    return replace(score, lines=(*score.lines[:3], replace(line, notes=tuple(notes))))


def test_a_rehearsal_comes_back_as_it_was_and_belongs_to_its_line(store: Store, score: Score) -> None:
    kept = Rehearsals(store)
    one = Rehearsal(KEY, WHEN, WHEN, (5, 8), ("wren", "heron"), ("heron",), 4, "private")
    kept.put(one, score, TENOR)
    assert kept.last(score, TENOR) == one
    assert kept.last(score, 1) is None
    later = replace(one, rounds=9, changed_utc=LATER)
    kept.put(later, score, TENOR)
    assert kept.last(score, TENOR) == later


def test_turns_are_the_takes_of_that_rehearsal_that_were_not_removed(store: Store, score: Score) -> None:
    first = keep(store, score, TENOR, WHEN, beside=Beside((), rehearsal=KEY, desk="wren"))
    second = keep(store, score, TENOR, LATER, beside=Beside((), rehearsal=KEY, desk="heron"))
    keep(store, score, TENOR, LATER, beside=Beside((), rehearsal="cd" * 16, desk="teal"))
    keep(store, score, TENOR, LATER)
    kept = Rehearsals(store)
    assert kept.turns(KEY) == [(first, "wren"), (second, "heron")]
    store.remove(first, LATER)
    assert kept.turns(KEY) == [(second, "heron")]


def test_notes_stay_with_bars_whose_music_is_the_same(store: Store, score: Score) -> None:
    kept = Rehearsals(store)
    kept.note(score, 6, "the fall of a fourth")
    kept.note(score, 9, "wait for it")
    assert kept.notes(score) == {6: "the fall of a fourth", 9: "wait for it"}
    assert kept.notes(corrected(score, 9)) == {6: "the fall of a fourth"}
    assert kept.notes(replace(corrected(score, 9), title="Another")) == {}
    kept.note(score, 6, "")
    assert kept.notes(score) == {9: "wait for it"}
    with pytest.raises(KeyError):
        kept.note(score, 99, "nowhere")


def test_what_the_copies_count_more_is_said_once(store: Store, score: Score) -> None:
    kept = Rehearsals(store)
    assert kept.bars_added(score) == 0
    kept.add_bars(score, 100)
    kept.add_bars(score, 40)
    assert kept.bars_added(score) == 40


def test_a_purge_leaves_no_rehearsal(store: Store, score: Score) -> None:
    Rehearsals(store).put(Rehearsal(KEY, WHEN, WHEN, None, ("wren",)), score, TENOR)
    store.purge("2026-11-20T00:00:00Z")
    assert Rehearsals(store).last(score, TENOR) is not None
    store.purge()
    assert Rehearsals(store).last(score, TENOR) is None
