"""Signatures of the modes."""

from __future__ import annotations

import pytest

from trainer.score.modes import MODE_FIFTHS, final_of, signature_fifths, split_mode

# finals of the white-key modes and a few signatures as any theory primer prints them (common practice, no source)
PRINTED = [
    ("C", "ionian", 0),
    ("D", "dorian", 0),
    ("E", "phrygian", 0),
    ("F", "lydian", 0),
    ("G", "mixolydian", 0),
    ("A", "aeolian", 0),
    ("B", "locrian", 0),
    ("B", "dorian", 3),
    ("F#", "phrygian", 2),
    ("Eb", "lydian", -2),
    ("Bb", "mixolydian", -3),
    ("C#", "aeolian", 4),
    ("Ab", "ionian", -4),
    ("G#", "aeolian", 5),
    ("Db", "ionian", -5),
    ("F#", "minor", 3),
    ("Ab", "major", -4),
]


@pytest.mark.parametrize(("final", "mode", "fifths"), PRINTED)
def test_signatures_are_as_printed(final: str, mode: str, fifths: int) -> None:
    assert signature_fifths(final, mode) == fifths
    assert final_of(fifths, mode) == final


@pytest.mark.parametrize("mode", MODE_FIFTHS)
def test_every_signature_has_one_final(mode: str) -> None:
    for fifths in range(-7, 8):
        assert signature_fifths(final_of(fifths, mode), mode) == fifths


@pytest.mark.parametrize("text", ["B dorian", "b Dorian", "B  dorian"])
def test_a_mode_may_be_typed_freely(text: str) -> None:
    assert split_mode(text) == ("B", "dorian")


@pytest.mark.parametrize("text", ["E-flat lydian", "eb lydian", "E flat lydian"])
def test_flat_finals_may_be_spelled_out(text: str) -> None:
    assert split_mode(text) == ("Eb", "lydian")


@pytest.mark.parametrize("text", ["", "dorian", "H dorian", "B dorain", "B dorian mode", "4 minor"])
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not"):
        split_mode(text)
