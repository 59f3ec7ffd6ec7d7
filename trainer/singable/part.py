"""What the kinds of difficulty look at: one line of a piece, with its company, its singer's compass and its time."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from trainer.rules.dissonance import Dissonance
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice, Texture, Tone, joined
from trainer.score.time import TempoMap
from trainer.singable.compass import Compass, compass_of


class Part:
    """One line made ready to be weighed. Everything dear is made once, when first asked for."""

    def __init__(
        self, piece: Piece, voice: int, *, compass: Compass | None = None, tempo: TempoMap | None = None
    ) -> None:
        """*compass* is the singer's, *tempo* the one it is sung at; the usual one of the voice and the score's own when None."""
        self.piece, self.voice = piece, voice
        self.texture: Texture = piece.texture
        self.line: tuple[Tone, ...] = self.texture.lines[voice]
        self.compass = compass or compass_of(piece.score, voice, self.line)
        self.tempo = tempo or piece.score.tempo

    @property
    def mode(self) -> Mode | None:
        """The piece's mode, None only without notes."""
        return self.piece.mode

    @property
    def others(self) -> tuple[int, ...]:
        """Every other voice, top first."""
        return tuple(voice for voice in range(self.texture.parts) if voice != self.voice)

    @property
    def neighbours(self) -> tuple[int, ...]:
        """The voices written next to it."""
        return tuple(voice for voice in (self.voice - 1, self.voice + 1) if 0 <= voice < self.texture.parts)

    def name(self, voice: int) -> str:
        """What a voice is called."""
        return self.texture.names[voice]

    def steps(self) -> Iterator[tuple[Tone, Tone]]:
        """Every two notes that follow each other without a rest."""
        for before, after in pairwise(self.line):
            if joined(before, after):
                yield before, after

    def slices(self, tone: Tone) -> Iterator[Slice]:
        """The slices during which a tone of this line sounds."""
        found = self.texture.slice_at(tone.on)
        index = self._index[tone.on] if found is not None and found.on == tone.on else None
        while index is not None and index < len(self.texture.slices) and self.texture.slices[index].on < tone.end:
            yield self.texture.slices[index]
            index += 1

    @cached_property
    def _index(self) -> dict[int, int]:
        return {one.on: index for index, one in enumerate(self.texture.slices)}

    @cached_property
    def dissonances(self) -> dict[Tone, Dissonance]:
        """The dissonant tones of this line, each with its first clash."""
        found: dict[Tone, Dissonance] = {}
        for one in self.piece.dissonances:
            if one.tone.voice == self.voice:
                found.setdefault(one.tone, one)
        return found

    def beat(self, at: int) -> int:
        """Ticks of a beat (a quarter of an even bar, a third of a triple one) at tick *at*."""
        return self.texture.bar_at(at).grid

    def seconds(self, start: int, end: int) -> Fraction:
        """How long it takes from tick to tick at this tempo."""
        ticks = self.texture.ticks
        return self.tempo.seconds(Fraction(end, ticks)) - self.tempo.seconds(Fraction(start, ticks))

    def heard(self, start: int, end: int) -> dict[int, int]:
        """Pitch classes that other voices sound in [start, end), each with the first voice from the top that has it."""
        found: dict[int, int] = {}
        for voice in self.others:
            for tone in self.texture.between(voice, max(0, start), end):
                found.setdefault(tone.midi % 12, voice)
        return found
