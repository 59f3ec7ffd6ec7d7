"""What would help: one note, a move, another voice; and only where it breaks nothing."""

from __future__ import annotations

import pytest
from written import score

from trainer.library import resolve
from trainer.rules.checking import check
from trainer.rules.piece import FREE, Piece
from trainer.rules.ruleset import shipped
from trainer.score.change import transpose
from trainer.score.model import Score, find_voice
from trainer.score.pitch import Pitch
from trainer.singable.part import Part
from trainer.singable.suggest import Change, change_for, move_for, voice_for
from trainer.singable.weigh import weigh, weigh_part

STRICT = shipped("strict16")


def changed(piece: Score, line: int) -> tuple[Part, list[Change]]:
    part = Part(Piece(piece, FREE), line)
    weighed = weigh_part(part)
    found = [change_for(part, weighed, note, STRICT, None) for note in weighed.worst()]
    return part, [one for one in found if one is not None]


def put(piece: Score, line: int, change: Change) -> Score:
    from trainer.rules.mending import with_note

    part = Part(Piece(piece, FREE), line)
    return with_note(piece, part.line[change.index], Pitch.parse(change.after))


@pytest.mark.parametrize("title", ["Nine Herring Crates", "Kettle before Dawn"])
def test_a_changed_note_makes_the_line_lighter_by_what_is_said_and_breaks_no_rule(title: str) -> None:
    piece = resolve(title)
    line = find_voice(piece, "alto")
    part, changes = changed(piece, line)
    assert changes
    before = sum(note.points for note in weigh_part(part).notes)
    old = {(one.rule, one.at_tick) for one in check(piece, STRICT).findings if one.strictness != "style"}
    for change in changes:
        after = put(piece, line, change)
        assert before - sum(note.points for note in weigh(after, line).notes) == change.gain >= 1
        new = {(one.rule, one.at_tick) for one in check(after, STRICT).findings if one.strictness != "style"}
        assert new <= old


def test_the_given_melody_is_never_changed() -> None:
    piece = score("species: 1; cantus: soprano; sing: bass :: D5 | A | B | F | D // D4 | F | G | F | D")
    assert changed(piece, 0)[1] == []


def test_a_piece_that_lies_too_high_is_moved_down_with_both_keys_named() -> None:
    piece = score(
        "mode: G mixolydian :: G5 | A | B | A | G // B4 | C5 | D | C | B4 // D4 | E | D | E | D // G3 | A | G | C | G"
    )
    move = move_for(Part(Piece(piece, FREE), 0))
    assert move is not None
    assert move.interval.semitones < 0
    assert move.before == "G mixolydian"
    assert move.after.endswith(" mixolydian")
    moved = weigh(transpose(piece, move.interval), 0)
    assert sum(note.points for note in moved.notes) < sum(note.points for note in weigh(piece, 0).notes)


def test_a_piece_that_lies_well_is_not_moved() -> None:
    piece = score("C5 | B4 | C5 // E4 | D | E // C4 | B3 | C // C3 | G3 | C3")
    assert [move_for(Part(Piece(piece, FREE), line)) for line in range(4)] == [None] * 4


@pytest.mark.parametrize(
    ("mode", "after"), [("B dorian", "C dorian"), ("Eb ionian", "E ionian"), ("F lydian", "Gb lydian")]
)
def test_a_move_is_spelled_with_the_fewest_signs(mode: str, after: str) -> None:
    piece = score(f"mode: {mode} :: C4 | C4 | C4 | C4 // C4 | C4 | C4 | C4")
    from trainer.score.moved import spelled_interval

    part = Part(Piece(piece, FREE), 0)
    assert part.mode is not None
    interval = spelled_interval(part.mode.fifths, 1)
    moved = Pitch.parse(f"{part.mode.final}4").transposed(interval)
    assert f"{moved.step}{moved.accidental} {part.mode.name}" == after


def test_no_move_drives_another_voice_out_of_its_compass() -> None:
    piece = score("G5 | A | G | F | G // G4 | F | G | A | G // D4 | C | D | C | D // E2 | F | E | F | E")
    assert move_for(Part(Piece(piece, FREE), 0)) is None


def test_a_line_too_low_for_its_voice_is_offered_to_one_where_it_lies_well() -> None:
    piece = score("D4 | E4 | D4 | C4 // A3 | C4 | B3 | A3 // F3 | G | G | F // D3 | C | G | F")
    assert voice_for(Part(Piece(piece, FREE), 0)) == "alto"
    assert voice_for(Part(Piece(piece, FREE), 3)) is None
