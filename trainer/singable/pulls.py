"""How strongly each other voice draws a singer off a note on to its own.

Singers slip to a note that sounds near their own, in whatever octave, the more so when it moves along with them, when they have just
left it, or when it is the tune on top (common practice, no source; that accompanying voices change accuracy at all is Fine, Berry and
Rosner 2006). The weights are our own, to be compared within one line.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from trainer.rules.texture import Tone
from trainer.singable.part import Part

BY_DISTANCE = {1: Fraction(2), 2: Fraction(2), 3: Fraction(3, 2), 4: Fraction(1)}
FAR = Fraction(1, 2)
"""By semitones within the octave; further off, a note is hardly mistaken for one's own."""

SHORTER = Fraction(2)
"""The voice's note, in whatever octave, is nearer to the note just sung than the one that is written: it costs less to follow."""

NEAR = Fraction(1)
"""In the same octave."""

EXTRA = Fraction(1, 2)
"""For each of: on top, next to one's own, struck together and going the same way."""

JUST_LEFT = Fraction(1)
"""The voice now sounds, or takes over, the note that the singer had."""

REST = Fraction(1, 4)
"""What a voice that holds still keeps of its pull: the ear has done with it."""


class Pull(NamedTuple):
    """One voice's pull on one note.

    ``tone`` is its note there, ``semitones`` how far that lies above the singer's own within an octave (below if negative), ``shorter``
    whether it lies nearer to the note just sung than the one that is written.
    """

    voice: int
    tone: Tone
    semitones: int
    weight: Fraction
    shorter: bool


def pulls(part: Part, tone: Tone) -> list[Pull]:
    """Every voice that draws on *tone* as it begins, the strongest first; nearer, then higher, of equals."""
    here = part.texture.slice_at(tone.on)
    before = part.texture.before(tone)
    if here is None:
        return []
    found = []
    for voice in part.others:
        other = here.tones[voice]
        if other is None:
            continue
        apart = _folded(other.midi - tone.midi)
        if apart == 0:
            continue
        shorter = before is not None and abs(_folded(other.midi - before.midi)) < abs(tone.midi - before.midi)
        weight = _weight(part, tone, before, other, apart, shorter)
        found.append(Pull(voice, other, apart, weight, shorter))
    return sorted(found, key=lambda one: (-one.weight, abs(one.semitones), one.voice))


def _weight(part: Part, tone: Tone, before: Tone | None, other: Tone, apart: int, shorter: bool) -> Fraction:
    weight = BY_DISTANCE.get(abs(apart), FAR) + SHORTER * shorter
    weight += NEAR * (abs(other.midi - tone.midi) < 6)
    weight += EXTRA * (other.voice == 0)
    weight += EXTRA * (other.voice in part.neighbours)
    led = part.texture.before(other)
    if before is not None and led is not None and other.on == tone.on:
        weight += EXTRA * ((other.midi - led.midi) * (tone.midi - before.midi) > 0)
    if before is not None and before.midi % 12 == other.midi % 12 and before.midi != tone.midi:
        return weight + JUST_LEFT
    return weight if other.on == tone.on else weight * REST


def _folded(semitones: int) -> int:
    """The same within an octave, -5 to 6."""
    return (semitones + 5) % 12 - 5
