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


ONE_BAR = "species: 1; mode: D dorian; cantus: bass; sing: soprano :: A4 | G | A // D4 | D | F"


def all_mends(text: str, rule: str, most: int = 100) -> list[tuple[int, int, str]]:
    """Bar, voice and new note of every mend under a set of that one rule."""
    piece = Piece(score(text))
    alone = STRICT.only(rule)
    report = check_piece(piece, alone)
    found = mends(piece, alone, report, forbidden(report)[0], most)
    return [(mend.bar, mend.voice, mend.after) for mend in found]


def test_every_note_of_the_mode_within_an_octave_is_tried_the_nearest_first() -> None:
    # over D: G is a fourth, A below it and G above it are fourths again; C# leads to the final
    notes = "F4 A4 E4 B4 D4 C5 C#5 C#4 C4 D5 B3 E5 F5 G3"
    assert all_mends(ONE_BAR, "fourth-vs-bass") == [(2, 0, name) for name in notes.split()]
    assert all_mends(ONE_BAR, "fourth-vs-bass", most=2) == [(2, 0, "F4"), (2, 0, "A4")]


def test_a_sign_that_the_score_uses_is_tried_on_that_letter() -> None:
    flat = ONE_BAR.replace("A4 | G | A //", "Bb4 | G | A //")
    assert [name for _, _, name in all_mends(flat, "fourth-vs-bass")][:4] == ["F4", "A4", "E4", "Bb4"]
    assert "B4" in [name for _, _, name in all_mends(flat, "fourth-vs-bass")]


def test_notes_of_both_moments_and_of_every_voice_but_the_cantus_are_tried() -> None:
    fifths = "species: 1; mode: D dorian; cantus: alto; sing: soprano :: A4 | B | C5 // F4 | G | E // D4 | E | C"
    found = all_mends(fifths, "parallel-fifth")
    assert {(bar, voice) for bar, voice, _ in found} == {(1, 0), (2, 0), (1, 2), (2, 2)}


def test_what_was_wrong_elsewhere_before_does_not_hinder_a_mend() -> None:
    # two fourths, each of one moment: either is mended while the other stays
    two = "species: 1; mode: D dorian; cantus: bass; sing: soprano :: A4 | G | A | G | A // D4 | D | F | D | F"
    piece = Piece(score(two))
    alone = STRICT.only("fourth-vs-bass")
    report = check_piece(piece, alone)
    first, second = forbidden(report)
    assert {mend.bar for mend in mends(piece, alone, report, first)} == {2}
    assert {mend.bar for mend in mends(piece, alone, report, second)} == {4}


def test_a_mend_that_moves_a_fault_to_another_place_is_none() -> None:

    found = all_mends(ONE_BAR, "fourth-vs-bass")
    piece = Piece(score(ONE_BAR))
    for _, _, name in found:
        line = piece.score.lines[0]
        notes = tuple(
            replace(note, pitch=Pitch.parse(name)) if index == 1 else note for index, note in enumerate(line.notes)
        )
        changed = replace(piece.score, lines=(replace(line, notes=notes), piece.score.lines[1]))
        assert check(changed, STRICT.only("fourth-vs-bass")).findings == ()
