"""How intervals and voices are called in remarks."""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.intervals import interval_words
from trainer.rules.piece import FREE, Piece
from trainer.singable.kinds.surprise import article
from trainer.singable.part import Part
from trainer.singable.registry import all_kinds


@pytest.mark.parametrize(
    ("called", "words"),
    [
        ("m6", "a minor sixth"),
        ("P8", "an octave"),
        ("A5", "an augmented fifth"),
        ("d7", "a diminished seventh"),
        ("M10", "a major tenth"),
        ("P12", "a perfect twelfth"),
        ("P15", "two octaves"),
        ("M14", "a major fourteenth"),
        ("P1", "a unison"),
        ("AA4", "an interval of AA4"),
    ],
)
def test_an_interval_is_called_as_in_any_handbook(called: str, words: str) -> None:
    assert interval_words(called) == words


def test_an_alto_has_another_article() -> None:
    assert [article(voice) for voice in ("alto", "bass")] == ["an alto", "a bass"]


SENTENCES = [
    ("second-beside", "D5 | C | B4 // B4 | B | G", "C5 comes against the bass's B4, a semitone"),
    ("second-beside", "C6 | D | C // C5 | C | C", "D6 comes against the bass's C5, a major ninth"),
    ("second-beside", "C6 | B5 | C6 // C4 | C | C", "B5 comes against the bass's C4, a major seventh and an octave"),
    ("second-beside", "C6 | D6 | C6 // C4 | C | C", "D6 comes against the bass's C4, a tone and 2 octaves"),
    (
        "leading-note-left",
        "mode: C ionian :: D5 | B4 | E5 // D3 | G | C",
        "the leading note B4 goes to E5 and not up a step",
    ),
    ("long-phrase", "tempo: 60 :: C5 | D | C", "12 s without a rest or a breath mark from here on"),
    (
        "long-phrase",
        "tempo: 60 :: C5 D E F | G F E D | C5",
        "12 s without a rest or a breath mark, from bar 1 beat 1 to here",
    ),
    ("tessitura", "F5 | G | F | E", "for 12 of its 16 s the line lies high in the voice, highest here"),
    ("unusual", "F4 | B | A", "F4 to B4, after what came before, is rare for a soprano: once in "),
]


@pytest.mark.parametrize(("kind", "text", "sentence"), SENTENCES)
def test_a_remark_is_a_sentence_that_a_choir_can_use(kind: str, text: str, sentence: str) -> None:
    told = [one.says for one in all_kinds()[kind].find(Part(Piece(score(text), FREE), 0)) if one.says]
    assert any(says.startswith(sentence) for says in told), told


def test_where_to_breathe_is_told_by_bars_where_every_note_begins_one() -> None:
    for text, advice in (
        ("tempo: 60 :: C5 | D | E | D | C", "cut the first notes of bars 2 and 4 short for a breath"),
        ("tempo: 60 :: C5 D | D C | C", "cut the note on bar 2 beat 3 short for a breath"),
    ):
        (found,) = all_kinds()["long-phrase"].find(Part(Piece(score(text), FREE), 0))
        assert found.advice == advice
