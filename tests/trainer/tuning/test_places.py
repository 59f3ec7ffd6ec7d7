"""Which notes of a line are worth holding, and the score that is made of them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from written import score

from trainer.library import resolve
from trainer.score.model import Score
from trainer.tuning.chords import chords_of, chords_score
from trainer.tuning.places import KINDS, places, some

TRIADS = "G4 | A4 // E4 | F4 // C4 | C4 // C3 | F3"


def told(piece: Score, line: int, kind: str) -> list[tuple[int, str]]:
    return [(one.bar, one.says) for one in places(piece, line, (kind,))]


@pytest.mark.parametrize(
    ("text", "line", "kind", "says"),
    [
        (TRIADS, 1, "third", [(1, "third of C major")]),
        (TRIADS, 0, "fifth", [(1, "fifth of C major")]),
        (TRIADS, 0, "third", [(2, "third of F major")]),
        ("C5 | C5 // D3 | F3", 1, "third", []),  # a bare seventh is no triad
        ("C5 | A4 // G4 | F4 // E3 | D3", 2, "third", [(1, "third of C major over E")]),  # the third itself in the bass
        ("mode: C ionian :: B4 | C5 // G4 | E4 // G3 | C3", 0, "leading", [(1, "leading note to C")]),
        ("mode: C ionian :: B4 | A4 // G4 | F4 // G3 | F3", 0, "leading", []),  # it does not go to its final
        (". . C5 - | - - B4 - | C5 // A3 | D3 | C3", 0, "suspension", [(2, "7-6 suspension")]),
        ("B4 | F4 // F4 | D4 // D3 | B2", 0, "fifth", []),  # diminished
    ],
)  # fmt: skip
def test_each_kind_is_found_where_it_stands(text: str, line: int, kind: str, says: list[tuple[int, str]]) -> None:
    assert told(score(text), line, kind) == says


def test_the_same_sound_is_held_once() -> None:
    assert told(score("E4 | F4 | E4 // C4 | C4 | C4 // G3 | A3 | G3 // C3 | F3 | C3"), 0, "third") == [
        (1, "third of C major")
    ]


def test_where_there_are_too_many_every_kind_has_its_turn_and_the_order_is_the_lines() -> None:
    found = places(resolve("Kettle before Dawn"), 1)
    chosen = some(found, 3)
    assert {one.kind for one in chosen} == {"third", "fifth", "suspension"}
    assert [found.index(one) for one in chosen] == sorted(found.index(one) for one in chosen)
    assert some(found, 100) == found


def test_the_others_are_heard_for_a_bar_before_the_own_note_is_held() -> None:
    piece = score(TRIADS)
    chords = chords_score(piece, 1, places(piece, 1, ("third",)), beats=3)
    assert [(one.bar, one.kind, one.says) for one in chords_of(chords)] == [
        (2, "third", "third of C major, bar 1 of the piece")
    ]
    spans = [[(str(n.pitch), n.onset_quarters, n.length_quarters) for n in line.notes] for line in chords.lines]
    assert spans == [[("G4", 0, 6)], [("E4", 3, 3)], [("C4", 0, 6)], [("C3", 0, 6)]]
    assert chords.bars().place(Fraction(3)).bar == 2


def test_a_suspension_is_prepared_held_and_resolved() -> None:
    piece = score(". . C5 - | - - B4 - | C5 // A3 | D3 | C3")
    chords = chords_score(piece, 0, places(piece, 0, ("suspension",)))
    assert [(str(n.pitch), n.onset_quarters, n.length_quarters) for n in chords.lines[0].notes] == [
        ("C5", 4, 8),
        ("B4", 12, 4),
    ]
    assert chords_of(chords)[0].bar == 3  # the bar of the clash, not of its preparation


@pytest.mark.parametrize("title", ["1", "5", "7", "9"])
def test_every_chord_of_the_library_is_one_that_can_be_sung(title: str) -> None:
    piece = resolve(title)
    for line in range(len(piece.lines)):
        found = places(piece, line)
        if not found:
            continue
        chords = chords_score(piece, line, found)
        assert len(chords_of(chords)) == len(found)
        bars = chords.bars()
        for one in chords_of(chords):
            bar = next(bar for bar in bars.bars if bar.number == one.bar)
            assert chords.lines[line].at(bar.onset_quarters) is not None
            assert one.kind in KINDS
            sounding = [other.at(bar.onset_quarters) for k, other in enumerate(chords.lines) if k != line]
            assert any(sounding)


def test_a_score_that_holds_no_chords_says_nothing_of_them() -> None:
    assert chords_of(resolve("1")) == ()
