"""Every kind of difficulty is declared whole, and its examples are played."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from written import score

from trainer.rules.piece import FREE, Piece
from trainer.score.model import find_voice
from trainer.singable.declare import Found, Kind
from trainer.singable.part import Part
from trainer.singable.registry import all_kinds

KINDS = all_kinds()
every_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)


def examples(which: str) -> list[object]:
    return [
        pytest.param(kind, text, id=f"{kind.id}-{number}")
        for kind in KINDS.values()
        for number, text in enumerate(getattr(kind, which), start=1)
    ]


def found(kind: Kind, text: str) -> list[Found]:
    piece = score(text)
    index = find_voice(piece, piece.fact("sing")) if piece.fact("sing") else 0
    return list(kind.find(Part(Piece(piece, FREE), index)))


@pytest.mark.parametrize(("kind", "text"), examples("bad"))
def test_a_bad_example_weighs_and_says_where(kind: Kind, text: str) -> None:
    weighed = found(kind, text)
    assert weighed, text
    assert any(one.points or one.says for one in weighed)


@pytest.mark.parametrize(("kind", "text"), examples("good"))
def test_a_good_example_does_not(kind: Kind, text: str) -> None:
    assert found(kind, text) == []


@every_kind
def test_a_kind_says_all_of_itself(kind: Kind) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", kind.id)
    assert kind.sentence.endswith(".")
    assert kind.advice
    assert kind.source
    assert kind.bad
    assert kind.good


def test_no_kind_chokes_on_music_of_one_note_or_a_line_without_any() -> None:
    for text in ("C4", "C4 // .", ". // C4"):
        for kind in KINDS.values():
            assert all(one.tone.voice == 0 for one in found(kind, text))


CRAFT = {
    "augmented-step": ("F4 | G# | A", "G#4", 5),
    "unheard-leap": ("E4 | A | G // C4 | C | C", "A4", 1),
    "leap-to-dissonance": ("G4 C4 | E // D3 - | C", "C4", 2),
    "leap-from-dissonance": ("C5 B G E | E // A3 - - - | C4", "G4", 2),
    "second-beside": ("D5 | C | B4 // B4 | B | G", "C5", Fraction(3, 2)),
    "cross-relation": ("A4 | F# | G // F3 | D | G", "F#4", 2),
    "altered-note": ("mode: G mixolydian :: A4 | F# | G // D3 | D | G", "F#4", 1),
    "leaps-in-row": ("C4 | F | A | F", "F4", 2),
    "far-leap": ("C5 | F5 | E", "F5", 1),
    "falling-semitone": ("G4 | F | E | F", "E4", Fraction(1, 2)),
    "repeated-note": ("G4 | G | G | G | A", "G4", Fraction(1, 2)),
    "leading-note-held": ("mode: C ionian :: C5 | B4 | C5 // C4 | D | C", "B4", Fraction(1, 2)),
    "entry": ("C4 . | . A4 | G // C3 D | E - | C", "A4", 2),
    "crossing": ("G4 | D | G // C4 | F | C", "D4", 1),
    "shared-note": ("E4 | D | C // C4 | D | E", "D4", Fraction(-1, 2)),
    "long-note": ("tempo: 60 :: C5 | - | B4 | C5", "C5", 1),
}
"""What the craft gives, beside a third that is one point (common practice, no source): one place, its note, its points."""


@pytest.mark.parametrize("name", CRAFT)
def test_a_kind_weighs_what_the_craft_gives_it(name: str) -> None:
    text, note, points = CRAFT[name]
    assert [one.points for one in found(KINDS[name], text) if one.tone.name == note][-1:] == [points]
