"""Tones to samples: pure, seeded, in any segments.

A *channel* is one voice's own stem, counted from 0. Touching tones of one channel and instrument are one phrase, sung without a gap.
Stems are mono; a mix is stereo, softly limited, and begins from silence however it is cut.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples
from audio.curve import PitchStep
from audio.instruments import LEVEL_DBFS, Instrument, instruments
from audio.phrase import Phrase, Sung
from audio.units import db_to_gain

TYPICAL_DBFS = -20.0
"""Effective level of a full mix: we cannot know the loudness at the ear, so it starts low (ITU-T H.870 asks for caution)."""

LIMIT_DBFS = -6.0
"""No sample of a mix lies above."""

KNEE = 0.6
"""Part of the limit up to which a mix is left exactly as it is."""

FADE_IN_SECONDS = 1.0
FADE_FROM_DB = -12.0
"""The first sound begins so much softer and is at its level after this time, so that a wrong volume knob is noticed before it
hurts; not from nothing, else a first click would not be heard."""

SEGMENT_FRAMES = 32_768


@dataclass(frozen=True, slots=True)
class Tone:
    """One note to be sounded.

    Parameters
    ----------
    start_frame, length_frames : int
        On the piece's own axis; a start before 0 is cut off.
    steps : tuple of PitchStep
        ``at_frame`` counts from the tone's start; the first at 0.
    instrument : str
        A key of ``INSTRUMENTS``.
    channel : int
        Whose stem it belongs to.
    gain_db : float
        0 is the instrument's own level, ``LEVEL_DBFS``.
    pan : float
        -1 left, 0 middle, 1 right; only a mix knows of it.
    """

    start_frame: int
    length_frames: int
    steps: tuple[PitchStep, ...]
    instrument: str
    channel: int = 0
    gain_db: float = 0.0
    pan: float = 0.0

    def __post_init__(self) -> None:
        """A tone has length and a place between the ears."""
        if self.length_frames <= 0 or not -1.0 <= self.pan <= 1.0:
            raise ValueError(f"a tone of {self.length_frames} frames at pan {self.pan} cannot sound")

    @property
    def end_frame(self) -> int:
        """The frame after its last."""
        return self.start_frame + self.length_frames


@dataclass(frozen=True, slots=True)
class _Placed:
    """A phrase with its place, and all that its tones have in common."""

    start_frame: int
    end_frame: int
    phrase: Phrase
    like: Tone


class Rendering:
    """Tones ready to be rendered, any stretch at any time.

    Parameters
    ----------
    tones : iterable of Tone
    rate_hz : int
    seed : int
        Decides the breath noise; the same seed gives the same samples.
    """

    def __init__(self, tones: Iterable[Tone], *, rate_hz: int, seed: int = 0) -> None:
        self.rate_hz = rate_hz
        self._seed = seed
        self._placed = sorted(_phrases(tones, rate_hz), key=lambda placed: placed.start_frame)
        self._starts = [placed.start_frame for placed in self._placed]
        self._latest_ends = list(accumulate((placed.end_frame for placed in self._placed), max))
        self._instruments: dict[str, Instrument] = {}
        known = instruments()
        for placed in self._placed:
            self._instruments[placed.like.instrument] = known[placed.like.instrument]

    @property
    def length_frames(self) -> int:
        """Where the last tone ends."""
        return max(0, self._latest_ends[-1]) if self._latest_ends else 0

    @property
    def channel_count(self) -> int:
        """One more than the highest channel."""
        return max((placed.like.channel for placed in self._placed), default=-1) + 1

    def stems(self, from_frame: int, to_frame: int) -> Samples:
        """Every channel by itself, before pan and limit; float32, shape (to_frame - from_frame, channel_count)."""
        table = np.zeros((to_frame - from_frame, self.channel_count), dtype=np.float32)
        for placed, low, sound in self._sounding(from_frame, to_frame):
            table[low : low + len(sound), placed.like.channel] += sound
        return table

    def mix(self, from_frame: int, to_frame: int) -> Samples:
        """All channels between two ears, limited and faded in; float32, shape (to_frame - from_frame, 2)."""
        table = np.zeros((to_frame - from_frame, 2), dtype=np.float32)
        for placed, low, sound in self._sounding(from_frame, to_frame):
            left, right = pan_gains(placed.like.pan)
            table[low : low + len(sound), 0] += np.float32(left) * sound
            table[low : low + len(sound), 1] += np.float32(right) * sound
        return limited(table * self._fade_in(from_frame, to_frame)[:, None])

    def pieces(self, to_frame: int | None = None) -> Iterator[Samples]:
        """The mix from its start, segment after segment, so that no more than one is held."""
        end = self.length_frames if to_frame is None else to_frame
        for at in range(0, end, SEGMENT_FRAMES):
            yield self.mix(at, min(at + SEGMENT_FRAMES, end))

    def _sounding(self, from_frame: int, to_frame: int) -> Iterator[tuple[_Placed, int, Samples]]:
        first = bisect_right(self._latest_ends, from_frame)
        for placed in self._placed[first : bisect_left(self._starts, to_frame)]:
            low, high = max(from_frame, placed.start_frame), min(to_frame, placed.end_frame)
            if low < high:
                sound = self._instruments[placed.like.instrument].phrase(
                    placed.phrase,
                    low - placed.start_frame,
                    high - placed.start_frame,
                    self._seed + placed.like.channel,
                )
                yield placed, low - from_frame, sound * np.float32(db_to_gain(placed.like.gain_db))

    def _fade_in(self, from_frame: int, to_frame: int) -> NDArray[np.float32]:
        # the first sound, not the first frame: what starts after a silence must not be sudden either
        return risen(from_frame, to_frame, max(0, self._starts[0]) if self._starts else 0, self.rate_hz)


def risen(from_frame: int, to_frame: int, first_frame: int, rate_hz: int) -> NDArray[np.float32]:
    """Factors of the frames in [from, to) by which sound that begins at *first_frame* comes up to its level, shape (to - from,)."""
    if (from_frame - first_frame) / rate_hz >= FADE_IN_SECONDS:
        return np.ones(to_frame - from_frame, np.float32)
    seconds = (np.arange(from_frame, to_frame) - first_frame) / rate_hz
    grown = (1 - np.cos(np.pi * np.clip(seconds / FADE_IN_SECONDS, 0.0, 1.0))) / 2
    return (db_to_gain(FADE_FROM_DB) ** (1 - grown)).astype(np.float32)


def pan_gains(pan: float) -> tuple[float, float]:
    """Gain of the left and the right ear: 1 in the middle, and always of one power, so that moving a voice keeps its loudness."""
    turn = (pan + 1.0) * np.pi / 4
    return float(np.sqrt(2) * np.cos(turn)), float(np.sqrt(2) * np.sin(turn))


def limited(samples: Samples) -> Samples:
    """Samples bent so that none lies above ``LIMIT_DBFS``; below ``KNEE`` of it nothing changes.

    It looks at one sample at a time, so it is the same however the sound is cut.
    """
    limit = np.float32(db_to_gain(LIMIT_DBFS))
    knee = np.float32(KNEE) * limit
    size = np.abs(samples)
    if not np.any(size > knee):
        return samples
    room = limit - knee
    bent = knee + room * np.tanh((size - knee) / room)
    return np.where(size > knee, np.copysign(bent, samples), samples).astype(np.float32)


def voice_gain_db(voices: int) -> float:
    """Gain at which *voices* unrelated voices together stand at ``TYPICAL_DBFS``; one alone is as loud as in a duet."""
    return TYPICAL_DBFS - LEVEL_DBFS - 10.0 * float(np.log10(max(2, voices)))


def _phrases(tones: Iterable[Tone], rate_hz: int) -> Iterator[_Placed]:
    """Touching tones of one channel, instrument, gain and pan, joined."""
    open_runs: dict[tuple[int, str, float, float], list[Tone]] = {}
    for tone in sorted(tones, key=lambda tone: tone.start_frame):
        like = (tone.channel, tone.instrument, tone.gain_db, tone.pan)
        run = open_runs.get(like)
        if run is not None and run[-1].end_frame == tone.start_frame:
            run.append(tone)
            continue
        if run is not None:
            yield _placed(run, rate_hz)
        open_runs[like] = [tone]
    for run in open_runs.values():
        yield _placed(run, rate_hz)


def _placed(run: list[Tone], rate_hz: int) -> _Placed:
    start = run[0].start_frame
    notes = tuple(
        Sung(
            tone.start_frame - start,
            tone.end_frame - start,
            tuple(PitchStep(tone.start_frame - start + step.at_frame, step.f0_hz) for step in tone.steps),
        )
        for tone in run
    )
    return _Placed(start, run[-1].end_frame, Phrase(notes, rate_hz), run[0])
