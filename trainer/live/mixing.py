"""Prepared stems, mixed under changing gains. Pure: the same parts and faders give the same samples, however they are cut.

A *part* is one channel's rendering laid on the link's axis; a *fader* is a channel's gain for each ear along the same axis. A change
takes a fiftieth of a second, so nothing clicks.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples

RAMP_SECONDS = 0.02

Channel = int | str
"""A line's index, or the name of what is no line."""


@dataclass(frozen=True, slots=True)
class Gain:
    """Factors of the left and the right ear."""

    left: float
    right: float


SILENT = Gain(0.0, 0.0)


class Fader:
    """One channel's gain along the frames.

    Parameters
    ----------
    gain : Gain
        What holds from the beginning of time.
    ramp_frames : int
    """

    def __init__(self, gain: Gain, ramp_frames: int) -> None:
        self._ramp_frames = ramp_frames
        self._points: list[tuple[int, Gain]] = [(0, gain)]

    def move(self, at_frame: int, gain: Gain) -> None:
        """From *at_frame* on go to *gain*; moves that lie later are forgotten."""
        here = self.at(at_frame)
        keep = bisect_right(self._points, at_frame, key=lambda point: point[0])
        self._points = [*self._points[max(0, keep - 1) : keep], (at_frame, here), (at_frame + self._ramp_frames, gain)]

    def at(self, frame: int) -> Gain:
        """The gain at one frame."""
        row = self.along(frame, frame + 1)[0]
        return Gain(float(row[0]), float(row[1]))

    def along(self, from_frame: int, to_frame: int) -> NDArray[np.float64]:
        """Gains of both ears, shape (to_frame - from_frame, 2)."""
        frames = np.arange(from_frame, to_frame)
        at = [frame for frame, _ in self._points]
        left = np.interp(frames, at, [gain.left for _, gain in self._points])
        return np.stack((left, np.interp(frames, at, [gain.right for _, gain in self._points])), axis=1)


class Sounding(Protocol):
    """A ``Rendering``, or whatever else gives sound by its own frames."""

    @property
    def channel_count(self) -> int:
        """Channels of ``stems``; 0 where nothing sounds."""
        ...

    @property
    def length_frames(self) -> int:
        """Where it ends."""
        ...

    def stems(self, from_frame: int, to_frame: int) -> Samples:
        """Its sound in [from, to), float32, shape (to - from, channel_count)."""
        ...


@dataclass(frozen=True, slots=True)
class Part:
    """A rendering that sounds on one channel.

    Parameters
    ----------
    channel : int or str
        Whose fader it stands under.
    rendering : Sounding
        Its channel 0 is what sounds.
    zero_frame : int
        The link's frame at which the rendering's own frame 0 lies.
    from_frame, to_frame : int
        It is heard from the one up to the other, faded at both ends where it is cut.
    """

    channel: Channel
    rendering: Sounding
    zero_frame: int
    from_frame: int
    to_frame: int

    def samples(self, from_frame: int, to_frame: int, ramp_frames: int) -> NDArray[np.float64]:
        """Its sound in [from, to), shape (to - from,); zero outside its time."""
        out = np.zeros(to_frame - from_frame)
        begin, end = max(from_frame, self.from_frame), min(to_frame, self.to_frame + ramp_frames)
        if begin >= end or not self.rendering.channel_count:
            return out
        sound = self.rendering.stems(begin - self.zero_frame, end - self.zero_frame)[:, 0].astype(np.float64)
        frames = np.arange(begin, end)
        risen = np.clip((frames - self.from_frame) / ramp_frames, 0.0, 1.0)
        fallen = np.clip((self.to_frame + ramp_frames - frames) / ramp_frames, 0.0, 1.0)
        out[begin - from_frame : end - from_frame] = sound * risen * fallen
        return out


def mixed(
    parts: Iterable[Part], faders: Mapping[Channel, Fader], from_frame: int, to_frame: int, *, rate_hz: int
) -> Samples:
    """All parts under their faders, float32, shape (to_frame - from_frame, 2), not yet limited."""
    ramp = round(RAMP_SECONDS * rate_hz)
    table = np.zeros((to_frame - from_frame, 2))
    for part in parts:
        if part.from_frame >= to_frame or part.to_frame + ramp <= from_frame:
            continue
        gains = faders[part.channel].along(from_frame, to_frame)
        if gains.any():
            table += part.samples(from_frame, to_frame, ramp)[:, None] * gains
    return table.astype(np.float32)


def for_outputs(stereo: Samples, channels_out: int) -> Samples:
    """Two ears laid on whatever outputs there are: one hears both, more than two stay silent beyond the second."""
    if channels_out == 1:
        return np.asarray(stereo.mean(axis=1, keepdims=True), dtype=np.float32)
    if channels_out == 2:
        return stereo
    return np.concatenate((stereo, np.zeros((len(stereo), channels_out - 2), np.float32)), axis=1)
