"""Sound made ready somewhere else let out through the loudspeaker, from its beginning to its end. Time is the link's frames alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from audio.block import Samples
from trainer.errors import DeviceError

if TYPE_CHECKING:
    from audio.devices import SoundLink

MADE_AT_HZ = 48_000
AHEAD_SECONDS = 0.5
LOOK_SECONDS = 0.02
PIECE_FRAMES = 4_800


def aloud(link: SoundLink, pieces: Iterable[Samples], wait: Callable[[float], None]) -> float:
    """Sound *pieces*, each of shape (n, 2) at ``MADE_AT_HZ``, one after another; the seconds that were sounded.

    Raises
    ------
    DeviceError
        When the device vanishes before the end.
    """
    rate = link.rate_hz
    begin = at = link.write_until() + rate // 5
    for piece in _small(_at_rate(pieces, rate)):
        while link.write_until() < at - round(AHEAD_SECONDS * rate):
            _rest(link, wait)
        shown = piece if link.channels_out == piece.shape[1] else _spread(piece, link.channels_out)
        link.play(at, shown.astype(np.float32))
        at += len(piece)
    while link.write_until() < at:
        _rest(link, wait)
    return (at - begin) / rate


def _rest(link: SoundLink, wait: Callable[[float], None]) -> None:
    if not link.alive:
        raise DeviceError(link.trouble, "the sound device", "plug it in again, or write a file with -o")
    link.read()  # what is not fetched is lost, and nobody needs it
    wait(LOOK_SECONDS)


def _at_rate(pieces: Iterable[Samples], rate_hz: int) -> Iterator[Samples]:
    if rate_hz == MADE_AT_HZ:
        yield from pieces
        return
    import soxr

    stream = soxr.ResampleStream(MADE_AT_HZ, rate_hz, 2, dtype="float32")
    for piece in pieces:
        yield stream.resample_chunk(np.ascontiguousarray(piece, np.float32))
    yield stream.resample_chunk(np.zeros((0, 2), np.float32), last=True)


def _small(pieces: Iterable[Samples]) -> Iterator[Samples]:
    """Never more at once than fits into the link."""
    for piece in pieces:
        for at in range(0, len(piece), PIECE_FRAMES):
            yield piece[at : at + PIECE_FRAMES]


def _spread(piece: Samples, channels: int) -> Samples:
    """Both sides together on every output that there is."""
    return np.repeat(piece.mean(axis=1, keepdims=True), channels, axis=1)
