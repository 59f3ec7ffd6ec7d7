"""Recordings of one performance, a singer a recording or a channel, heard side by side as a live take with several microphones is."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from os import PathLike

import numpy as np

from audio.block import Block, Samples, Sieve
from audio.heard import Gap, Heard, PitchFrame
from audio.resample import Resampler
from audio.several import SeveralSingers
from audio.soundfile_io import read_blocks
from audio.units import RATE_HZ

Source = tuple[str | PathLike[str], int | None]
"""A recording, and which of its channels, from 0; None for a recording of one singer."""

PIECE_FRAMES = 4_096


class HeardTogether:
    """Two to eight singers of one performance, ``Heard.line`` in the order of *sources*.

    Parameters
    ----------
    sources : sequence of Source

    Raises
    ------
    SoundFileError
        At once when a recording cannot be opened or has not that channel.
    """

    def __init__(self, sources: Sequence[Source]) -> None:
        self._sounds = [_Sound(read_blocks(path, side=side)) for path, side in sources]
        self._channels = tuple(f"mic{number + 1}" for number in range(len(sources)))
        self._singers = SeveralSingers(self._channels)

    def heard(self) -> Iterator[Heard]:
        """Every estimate, in time order within a piece of sound; of a recording that ends before the others nothing beyond its end."""
        sieve = Sieve()
        for block in self._blocks():
            for part in sieve.feed(block):
                yield from self._within(self._singers.feed(part))
        yield from self._within(self._singers.flush())

    def said(self) -> list[str]:
        """A sentence a line on its bleed, once all has been heard."""
        return self._singers.said()

    def _blocks(self) -> Iterator[Block]:
        for number in itertools.count():
            columns = [sound.piece() for sound in self._sounds]
            longest = max(len(column) for column in columns)
            if not longest:
                return
            table = np.zeros((longest, len(columns)), np.float32)
            for k, column in enumerate(columns):
                table[: len(column), k] = column
            yield Block(table, self._channels, number * PIECE_FRAMES, RATE_HZ)

    def _within(self, records: Iterable[PitchFrame | Gap]) -> list[PitchFrame | Gap]:
        kept = [one for one in records if isinstance(one, Gap) or one.centre_frame < self._sounds[one.line].end_frame]
        return sorted(kept, key=lambda one: one.from_frame if isinstance(one, Gap) else one.centre_frame)


class _Sound:
    """One singer's sound at ``RATE_HZ`` in pieces of equal length, the last one shorter."""

    def __init__(self, blocks: Iterator[Block]) -> None:
        self._blocks, self._resampler = blocks, Resampler()
        self._held = np.zeros(0, np.float32)
        self.end_frame = 1 << 60
        self._given = 0

    def piece(self) -> Samples:
        while len(self._held) < PIECE_FRAMES and self.end_frame == 1 << 60:
            block = next(self._blocks, None)
            more = self._resampler.flush() if block is None else self._resampler.feed(block)
            self._held = np.concatenate([self._held, *(one.samples[:, 0] for one in more)])
            if block is None:
                self.end_frame = self._given + len(self._held)
        found, self._held = self._held[:PIECE_FRAMES], self._held[PIECE_FRAMES:]
        self._given += len(found)
        return found
