"""The chord of a bar's first beat, a suspension counted as the note that it delays (common practice, no source)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from trainer.rules.piece import Piece
from trainer.rules.texture import BarTicks, Slice, Tone


class Downbeat(NamedTuple):
    """One bar's first beat: what sounds, and by voice the notes meant, with the lowest of them."""

    bar: BarTicks
    slice: Slice
    tones: tuple[Tone, ...]
    bass: Tone

    @property
    def over(self) -> frozenset[int]:
        """Letters above the lowest note meant, within the octave: {2, 4} is a 5/3."""
        return frozenset((tone.dia - self.bass.dia) % 7 for tone in self.tones)


def downbeats(piece: Piece) -> Iterator[Downbeat]:
    """Every inner bar's first beat at which all voices sound; the first and the last bar are excused."""
    texture = piece.texture
    last = texture.bar_index(texture.end - 1) if texture.end else 0
    for bar in texture.bars[1:last]:
        now = texture.slice_at(bar.on)
        if now is None or now.bass is None or any(tone is None for tone in now.tones):
            continue
        tones = tuple(delayed(piece, now, tone) for tone in now.sounding)
        yield Downbeat(bar, now, tones, min(tones, key=lambda tone: tone.midi))


def delayed(piece: Piece, now: Slice, tone: Tone) -> Tone:
    """The note that a suspended tone resolves to, the tone itself where it is no suspension."""
    for one in piece.suspensions:
        if one.held is tone and tone.on < now.on and one.holds(now.on):
            return one.resolution or tone
    return tone


def suspended(piece: Piece, now: Slice, tone: Tone) -> bool:
    """Whether the tone is a dissonant tie at the moment."""
    return tone.on < now.on and any(one.held is tone and one.holds(now.on) for one in piece.suspensions)
