"""Every kind of difficulty is declared whole, and its examples are played."""

from __future__ import annotations

import re

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
