"""The one sign of each of the thirteen words, plain and in ASCII, and the kind of remark that gives its colour.

No arrows: pencilled in a choir copy they ask for higher or lower, and here they would be read so. The comma for a breath and the
stroke for a cut-off are what singers pencil (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.practice.signs import Sign


@dataclass(frozen=True, slots=True)
class BeatSign:
    """How a word is drawn: one letter where the stream has it, one ASCII letter elsewhere, and its kind of remark."""

    letter: str
    ascii: str
    kind: str


BEAT_SIGNS: dict[Sign, BeatSign] = {
    Sign.HELD: BeatSign("●", "=", "held"),
    Sign.SHARP: BeatSign("+", "+", "tuning"),
    Sign.FLAT: BeatSign("−", "-", "tuning"),
    Sign.OFF: BeatSign("×", "x", "note"),
    Sign.PULLED: BeatSign("◊", "P", "note"),
    Sign.OCTAVE: BeatSign("8", "8", "note"),
    Sign.LATE: BeatSign("L", "L", "time"),
    Sign.EARLY: BeatSign("E", "E", "time"),
    Sign.LEFT_EARLY: BeatSign("/", "/", "time"),
    Sign.BREATH: BeatSign("’", ",", "time"),
    Sign.SILENT: BeatSign("○", "_", "nothing"),
    Sign.UNSURE: BeatSign("?", "?", "nothing"),
    Sign.REST: BeatSign("·", ".", "nothing"),
}


def letter(sign: Sign, letters: str) -> str:
    """The sign's letter for a stream of "all" or "ascii" letters."""
    return BEAT_SIGNS[sign].letter if letters == "all" else BEAT_SIGNS[sign].ascii
