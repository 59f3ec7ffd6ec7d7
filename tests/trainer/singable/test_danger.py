"""Danger spots and pulls, told from the score alone."""

from __future__ import annotations

from fractions import Fraction

import pytest
from written import score

from trainer.formats import read_path
from trainer.library import exercises
from trainer.rules.piece import FREE, Piece
from trainer.score.model import Score
from trainer.singable.danger import Spot, danger_spots
from trainer.singable.part import Part
from trainer.singable.pulls import EXTRA, JUST_LEFT, NEAR, SHORTER, pulls


def kinds(spot: Spot) -> set[str]:
    return {danger.kind for danger in spot.dangers}


def strongest(piece: Score, line: int, note: int) -> str:
    part = Part(Piece(piece, FREE), line)
    found = pulls(part, part.line[note])
    return part.name(found[0].voice) if found else ""


def test_the_nearer_voice_pulls_more() -> None:
    piece = score("B4 | E5 // E4 | F4 // C4 | E4 // C3 | D3")
    assert strongest(piece, 1, 1) == "tenor"


def test_a_voice_pulls_from_another_octave_and_less() -> None:
    near, far = score("E5 | D4 // E4 | C4 // A3 | G3"), score("E5 | D5 // E4 | C4 // A3 | G3")
    weights = []
    for piece in (near, far):
        part = Part(Piece(piece, FREE), 1)
        found = pulls(part, part.line[1])
        assert (found[0].voice, found[0].semitones) == (0, 2)
        weights.append(found[0].weight)
    assert weights[0] > weights[1]


def weight_of_top(text: str) -> Fraction:
    """How much the top voice pulls on the second note of the one below it."""
    part = Part(Piece(score(text), FREE), 1)
    return next(one.weight for one in pulls(part, part.line[1]) if one.voice == 0)


def test_a_note_that_is_the_smaller_way_pulls_more() -> None:
    # the same D4 over the same A3: nearer than A3 to the E4 just sung, further than A3 from the B3 just sung
    assert weight_of_top("G4 | D4 // E4 | A3 // C3 | C3") == weight_of_top("G4 | D4 // B3 | A3 // C3 | C3") + SHORTER


def test_a_voice_that_takes_over_the_singers_last_note_pulls_all_the_more() -> None:
    # a third off, in the same octave, on top, beside, the smaller way, together the same way, and the note just left
    assert weight_of_top("G4 | E4 // E4 | C4 // C3 | C3") == 1 + NEAR + 3 * EXTRA + SHORTER + JUST_LEFT


def test_a_voice_that_holds_still_pulls_less_than_one_that_moves() -> None:
    held, moves = score("D5 - | - E // A4 C | - D // D3 | D"), score("E5 D | - E // A4 C | - D // D3 | D")
    part_held, part_moves = (Part(Piece(piece, FREE), 1) for piece in (held, moves))
    assert pulls(part_held, part_held.line[1])[0].weight < pulls(part_moves, part_moves.line[1])[0].weight


@pytest.mark.parametrize(
    ("text", "line", "note", "kind"),
    [
        ("E5 | D | C // G4 | C5 | G4", 1, 1, "leap"),
        ("D5 | C5 | C // F4 | B4 | C5", 1, 1, "rub"),
        ("E4 | F | G // E4 | D | E", 1, 0, "shared"),
        ("E4 | F | G // E4 | D | E", 1, 1, "parting"),
        (". | . A4 | B // C4 | D E | G", 0, 0, "entry"),
        (". | . A4 | B // C4 | A3 D | G", 0, 0, "cue"),
        ("A4 | F# | G // F3 | D | G", 0, 1, "cross-relation"),
        ("E4 | E | E // C4 | C | C", 0, 1, "third"),
        ("mode: G mixolydian :: A4 | F# | G // D3 | D | G", 0, 1, "altered-note"),
    ],
)
def test_each_danger_is_seen_where_it_stands(text: str, line: int, note: int, kind: str) -> None:
    assert kind in kinds(danger_spots(score(text), line)[note])


def test_a_short_third_is_not_to_be_tuned() -> None:
    assert "third" not in kinds(danger_spots(score("tempo: 160 :: E4 E | E E // C4 | C"), 0)[1])


@pytest.mark.parametrize("drill", exercises()[::8], ids=lambda one: one.title)
def test_a_fifth_of_the_notes_is_marked_and_they_are_the_heaviest(drill) -> None:
    piece = read_path(drill.path)
    for line in range(len(piece.lines)):
        spots = danger_spots(piece, line)
        assert [spot.onset_quarters for spot in spots] == [note.onset_quarters for note in piece.lines[line].notes]
        marked = [spot.weight for spot in spots if spot.marked]
        assert 1 <= len(marked) <= max(1, len(spots) // 5)
        assert min(marked) >= max(spot.weight for spot in spots if not spot.marked)
        assert all(danger.words for spot in spots for danger in spot.dangers)


def test_nothing_is_marked_in_a_voice_that_sings_alone_by_step() -> None:
    assert not any(spot.marked for spot in danger_spots(score("C4 | D | E | D | C"), 0))
