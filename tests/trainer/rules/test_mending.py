"""A mend is one note, the smallest change first, after which the fault is gone and nothing new is wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest
from written import score

from trainer.rules.checking import Report, check, check_piece
from trainer.rules.finding import Finding
from trainer.rules.mending import Mend, mends
from trainer.rules.piece import Piece
from trainer.rules.ruleset import shipped
from trainer.score.model import Score
from trainer.score.pitch import Pitch

HEAD = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
BASS = "D3 | F | E | D | G | F | A | G | F | E | D"
FAULTY = {
    "parallel-fifth": f"{HEAD} A4 | A | B | A | B | C5 | C | B | D | C# | D // {BASS}",
    "augmented-leap": f"{HEAD} A4 | A | G | F | B | C5 | C | B | D | C# | D // {BASS}",
    "fourth-vs-bass": f"{HEAD} A4 | A | A | B | B | C5 | C | B | D | C# | D // {BASS}",
    "clausula": f"{HEAD} A4 | A | G | A | B | C5 | C | B | D | C | D // {BASS}",
}
STRICT = shipped("strict16")


def checked(music: Score) -> tuple[Piece, Report]:
    piece = Piece(music)
    return piece, check_piece(piece, STRICT)


def forbidden(report: Report) -> list[Finding]:
    return [one for one in report.findings if one.strictness == "forbidden"]


def mended(music: Score, piece: Piece, mend: Mend) -> Score:
    """The score with that one note changed."""
    line = music.lines[mend.voice]
    notes = []
    for note in line.notes:
        place = piece.texture.score_bars.place(note.onset_quarters)
        there = (place.bar, place.beat) == (mend.bar, mend.beat)
        notes.append(replace(note, pitch=Pitch.parse(mend.after)) if there else note)
        assert not there or str(note.pitch) == mend.before
    lines = tuple(replace(line, notes=tuple(notes)) if one is line else one for one in music.lines)
    return replace(music, lines=lines)


@pytest.mark.parametrize("rule", FAULTY)
def test_a_mend_takes_the_fault_away_and_brings_no_new_one(rule: str) -> None:
    music = score(FAULTY[rule])
    piece, report = checked(music)
    fault = next(one for one in forbidden(report) if one.rule == rule)
    old = {(one.rule, one.voices) for one in report.findings if one.strictness != "style"}
    found = mends(piece, STRICT, report, fault)
    assert found
    for mend in found:
        after = check(mended(music, piece, mend), STRICT)
        assert {(one.rule, one.voices) for one in after.findings if one.strictness != "style"} <= old
        assert (rule, fault.to_tick) not in {(one.rule, one.to_tick) for one in after.findings}


def test_the_smallest_change_comes_first_and_never_touches_the_cantus() -> None:
    piece, report = checked(score(FAULTY["fourth-vs-bass"]))
    found = mends(piece, STRICT, report, forbidden(report)[0], most=20)
    sizes = [abs(Pitch.parse(mend.after).diatonic - Pitch.parse(mend.before).diatonic) for mend in found]
    assert sizes == sorted(sizes)
    assert len(found) > 1
    assert {mend.voice for mend in found} == {0}


def test_no_more_are_given_than_asked_for() -> None:
    piece, report = checked(score(FAULTY["fourth-vs-bass"]))
    fault = forbidden(report)[0]
    assert len(mends(piece, STRICT, report, fault, most=1)) == 1
    assert mends(piece, STRICT, report, fault, most=1) == mends(piece, STRICT, report, fault)[:1]


def test_a_sign_is_offered_where_the_close_wants_one() -> None:
    piece, report = checked(score(FAULTY["clausula"]))
    found = mends(piece, STRICT, report, next(one for one in forbidden(report) if one.rule == "clausula"))
    assert "C#5" in {mend.after for mend in found}


def test_what_is_given_is_not_mended() -> None:
    piece = Piece(score("D5 | E | F // D4 | E | F"), {0: "cantus", 1: "cantus"})
    report = check_piece(piece, STRICT)
    assert forbidden(report) == []  # both melodies are given, so the rules of species are not asked
    free = Piece(piece.score, "free")
    found = forbidden(check_piece(free, STRICT))
    assert mends(piece, STRICT, check_piece(free, STRICT), found[0]) == ()
