"""A section of fake singers learns four bars of a chorale that is read in place from the music21 package; nothing of it is kept."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from other_readers import chorales
from section_rig import Rehearsing, places_in
from section_stage import excerpt_sung, following
from session_rig import Script, phase

from trainer.library import resolve
from trainer.live.sectional import SectionCourse
from trainer.log.store import Store
from trainer.score.change import cut
from trainer.section.places import Place, places_of
from trainer.section.turns import Turns
from trainer.takes.rehearsed import Book

ALTO, QPM = 1, 240.0
DESKS = ("wren", "heron")


@pytest.fixture(scope="module")
def chorale():
    """The first that has a bar in which the alto does not sing the soprano's notes."""
    for path in chorales():
        score = resolve(str(path))
        if len(score.lines) == 4 and score.bars().bars[-1].number >= 8:
            return score
    raise AssertionError("the package has no chorale")


def next_is(who):
    return lambda state: state.phase in ("ready", "done") and state.standing.large == ("next", who, "space")


def result(state):
    return state.phase == "done" and state.standing.who == ""


def test_a_section_learns_its_bars_and_nothing_of_the_chorale_stays(chorale, tmp_path: Path) -> None:
    bars = (2, 5)
    right = excerpt_sung(chorale, ALTO, bars, QPM)
    top = excerpt_sung(chorale, 0, bars, QPM)
    own = cut(chorale, *bars).lines[ALTO].notes
    # two notes running in the middle that are not the soprano's, and whose neighbours are not either
    astray = next(
        (k, k + 1)
        for k in range(2, len(own) - 2)
        if all((following(right, top, j)[j].midi - right[j].midi) % 12 for j in (k, k + 1))
    )
    pulled = following(right, top, *astray)
    failed = {cut(chorale, *bars).bars().place(own[k].onset_quarters).bar + bars[0] - 1 for k in astray}
    book = Book(places_in(tmp_path), chorale, ALTO, [].append)
    stage = Rehearsing(tmp_path, chorale, ALTO, QPM)
    place = Place(bars[0] + 1, bars[1], "read in place")
    course = SectionCourse(book, replace(book.begun(), desks=DESKS), (place,), Turns(DESKS))
    learning = {"wren": right, "heron": pulled}
    face = Script(
        (phase("ready"), "turns"), (next_is("wren"), "go"), (next_is("heron"), "go"),
        (lambda state: result(state) and state.standing.large[0] != "all", "go"),
        (lambda state: state.phase == "singing" and course.rehearsal.rounds >= 1, "turns"),
        (next_is("wren"), "go"), (next_is("heron"), "go"),
        (lambda state: result(state) and len(face.cues) == 1, "quit"),
    )  # fmt: skip

    def voices(who: str):
        # after the drill everybody has it
        return right if course.rehearsal.rounds else learning.get(who)

    stage.run(course, face, voices)
    assert not face.cues
    first = next(state.standing.large for state in face.states if result(state))
    assert (first[0].removeprefix("bar "), first[1]) == (str(min(failed)), "1 of 2")
    assert face.told.standing.large == ("all", "held", "space")
    with Store(places_in(tmp_path).takes) as store:
        assert len(store.entries()) == 4


@pytest.mark.parametrize("parts", [3, 4, 5, 8])
def test_any_piece_of_three_to_eight_voices_has_places_and_turns(chorale, tmp_path: Path, parts: int) -> None:
    lines = tuple(replace(chorale.lines[k % 4], name=f"part {k + 1}") for k in range(parts))
    score = replace(chorale, lines=lines)
    book = Book(places_in(tmp_path), score, 1, [].append)
    found = places_of(score, 1, notes={}, failed=(), copies=book.copies())
    assert found
    course = SectionCourse(book, replace(book.begun(), desks=DESKS), found, Turns(DESKS))
    stage = Rehearsing(tmp_path, score, 1, QPM)
    turn = course.asked("turns", stage.choices())
    assert turn.standing.large == ("next", "wren", "space")
    assert turn.choices.beside(parts).sounding == tuple(k for k in range(parts) if k != 1)
    assert Fraction(turn.choices.qpm) == Fraction(240)
