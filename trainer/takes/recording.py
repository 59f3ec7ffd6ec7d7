"""A recording heard: blocks of sound through the tracker. The same code as a live take, which only gets its blocks elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from os import PathLike
from typing import TYPE_CHECKING

from audio.heard import Gap, Heard, PitchFrame

if TYPE_CHECKING:
    from audio.block import Block, Samples

Range = tuple[float, float]
"""Lowest and highest pitch to look for, hertz."""


def heard_in(
    path: str | PathLike[str], *, line: int = 0, search_hz: Range | None = None, side: int | None = None
) -> Iterator[PitchFrame | Gap]:
    """Every estimate of one recording in time order.

    Parameters
    ----------
    path : path
    line : int
        Which sung line it is.
    search_hz : (float, float) or None
        Where to look for the pitch; None is the tracker's own range, wide enough for any octave.
    side : int or None
        This channel of the file alone, from 0.

    Raises
    ------
    SoundFileError
        At once when the file cannot be opened.
    """
    from audio.soundfile_io import read_blocks

    return heard_from(read_blocks(path, side=side), line=line, search_hz=search_hz)


def sound_in(path: str | PathLike[str]) -> Iterator[Samples]:
    """The first channel of a recording at ``RATE_HZ``, piece by piece. Raises SoundFileError."""
    from audio.resample import Resampler
    from audio.soundfile_io import read_blocks

    resampler = Resampler()
    for block in read_blocks(path):
        yield from (one.samples[:, 0] for one in resampler.feed(block))
    yield from (one.samples[:, 0] for one in resampler.flush())


def heard_from(blocks: Iterable[Block], *, line: int = 0, search_hz: Range | None = None) -> Iterator[PitchFrame | Gap]:
    """Every estimate of the channel "mic1" of *blocks* in time order."""
    from audio.block import Sieve
    from audio.pitch import DEFAULT_TRACKER, TRACKERS
    from trainer.takes.quicker import as_heard

    maker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER]
    if search_hz is None:
        tracker = maker(line=line, channel="mic1")
    else:
        tracker = maker(line=line, channel="mic1", lowest_hz=search_hz[0], highest_hz=search_hz[1])
    sieve = Sieve()
    for block in as_heard(blocks):
        for part in sieve.feed(block):
            yield from tracker.feed(part)
    yield from tracker.flush()


def frame_of(record: Heard) -> int:
    """Where a record stands in time."""
    if isinstance(record, PitchFrame):
        return record.centre_frame
    if isinstance(record, Gap):
        return record.from_frame
    return record.frame if hasattr(record, "frame") else record.on_frame
