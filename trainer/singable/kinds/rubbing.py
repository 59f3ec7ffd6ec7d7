"""Seconds and sevenths against the voice next to one's own."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.rules.texture import SMALLER, Slice, Tone
from trainer.singable.declare import ONE, Found, Kind
from trainer.singable.part import Part

SEMITONE_RUB, TONE_RUB = Fraction(3, 2), ONE
WORDS = {1: "a semitone", 11: "a major seventh", 2: "a tone", 10: "a minor seventh"}
NINTHS = {13: "a minor ninth", 14: "a major ninth"}


def rubs(part: Part, tone: Tone) -> Iterator[tuple[Slice, Tone, int]]:
    """Where a tone stands a second or seventh from a neighbour, for a beat or from a beat on: slice, other, semitones within the octave."""
    for one in part.slices(tone):
        for voice in part.neighbours:
            other = one.tones[voice]
            if other is None or max(tone.on, other.on) != one.on:
                continue
            apart = abs(tone.midi - other.midi) % 12
            lasts = min(tone.end, other.end) - one.on
            heard = part.texture.weight(one.on) > SMALLER or lasts >= part.beat(one.on)
            if apart in WORDS and abs(tone.dia - other.dia) % 7 in (1, 6) and heard:
                yield one, other, apart


def _rub(part: Part) -> Iterator[Found]:
    for tone in part.line:
        found = list(rubs(part, tone))
        if not found:
            continue
        where, other, apart = min(found, key=lambda one: (one[2] not in (1, 11), one[0].on, one[1].voice))
        points = SEMITONE_RUB if apart in (1, 11) else TONE_RUB
        doing = "comes" if where.on == tone.on else "is held"
        against = f"the {part.name(other.voice)}'s {other.name}, {_size(abs(tone.midi - other.midi))}"
        yield Found(tone, points, f"{tone.name} {doing} against {against}")


def _size(semitones: int) -> str:
    """As in "a minor ninth"."""
    if semitones in NINTHS:
        return NINTHS[semitones]
    octaves = semitones // 12
    beyond = f" and {'an octave' if octaves == 1 else f'{octaves} octaves'}" if octaves else ""
    return f"{WORDS[semitones % 12]}{beyond}"


KINDS = (
    Kind(
        id="second-beside",
        sentence="A note a second or a seventh from the voice beside it is pulled on to the neighbour's note.",
        advice="sing the two voices alone, slowly, until you like the rub; in writing, move one of them a step",
        source="common practice, no source; singers slip to the nearest consonance",
        find=_rub,
        bad=("D5 | C | B4 // B4 | B | G", "E5 D | C // D4 - | E"),
        good=("E5 | D | C // C5 | B4 | A",),
    ),
)
