"""A sound link without hardware: the microphone is an array, the loudspeaker may leak into it, time moves when told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import TracebackType
from typing import Self

import numpy as np

from audio.block import Block, Samples
from audio.devices._side import ROOM_FRAMES
from audio.devices.link import Flags, channel_names


@dataclass(frozen=True, slots=True)
class Loopback:
    """The loudspeaker's way into every microphone: so many frames later, so much softer, output channels summed."""

    delay_frames: int
    gain: float = 1.0


@dataclass(frozen=True, slots=True)
class Flaw:
    """What the driver does wrong before a block.

    Parameters
    ----------
    lost_frames : int
        Frames of input that never arrive; the axis counts them on.
    underflow : bool
        Output was invented too.
    """

    lost_frames: int = 0
    underflow: bool = False


class FakeSound:
    """A SoundLink under a hand clock: ``advance`` lets callbacks happen, everything else is as with devices.

    Parameters
    ----------
    microphone : float32 array, shape (n,) or (n, channels_in)
        What is in the air at the microphone from frame 0 on; silence after its end.
    loopback : Loopback or None
    flaws : mapping from frame to Flaw, or None
        Each happens before the first callback that starts at or after its frame.
    clock_ppm : float
        How much faster than *rate_hz* its crystal runs: more frames go by in a second, and stamps stay true.
    """

    def __init__(
        self,
        microphone: Samples | None = None,
        *,
        rate_hz: int = 48_000,
        block_frames: int = 256,
        channels_out: int = 2,
        loopback: Loopback | None = None,
        flaws: Mapping[int, Flaw] | None = None,
        reported_round_trip_frames: int | None = None,
        clock_ppm: float = 0.0,
    ) -> None:
        sound = np.zeros((0, 1), np.float32) if microphone is None else np.asarray(microphone, np.float32)
        self._microphone = sound if sound.ndim == 2 else sound[:, None]
        self.input_name = "pretend microphone"
        self.output_name = "pretend loudspeaker"
        self.rate_hz = rate_hz
        self.block_frames = block_frames
        self.channels_in = self._microphone.shape[1]
        self.channels_out = channels_out
        self.reported_round_trip_frames = reported_round_trip_frames
        self.room_frames = ROOM_FRAMES
        self.trouble = ""
        self._loopback = loopback
        self._true_hz, self._owed_frames = rate_hz * (1 + clock_ppm * 1e-6), 0.0
        self._flaws = sorted((flaws or {}).items())
        self._frame = 0
        self._laid = np.zeros((0, channels_out), np.float32)
        self._left = np.zeros((0, channels_out), np.float32)
        self._waiting: list[Block] = []
        self._flags = Flags()

    @property
    def alive(self) -> bool:
        """False once ``vanish`` or ``close`` was called."""
        return not self.trouble

    def write_until(self) -> int:
        """The next callback's first frame."""
        return self._frame

    def play(self, start_frame: int, samples: Samples) -> int:
        """As ``SoundLink.play``."""
        if samples.ndim != 2 or samples.shape[1] != self.channels_out:
            raise ValueError(f"sound of shape {samples.shape} does not fit {self.channels_out} outputs")
        end = start_frame + len(samples)
        if end > self._frame + self.room_frames:
            raise ValueError(f"frame {end} is further ahead than {self.room_frames} frames")
        late = min(max(self._frame - start_frame, 0), len(samples))
        if late:
            self._flags = replace(
                self._flags, late_frames=self._flags.late_frames + late, last_flagged_frame=self._frame
            )
        if late < len(samples):
            self._laid = _reaching(self._laid, end)
            self._laid[start_frame + late : end] = samples[late:]
        return late

    def read(self) -> list[Block]:
        """As ``SoundLink.read``."""
        found, self._waiting = self._waiting, []
        return found

    def flags(self) -> Flags:
        """As ``SoundLink.flags``."""
        return self._flags

    def close(self) -> None:
        """Nothing is held."""
        self.trouble = self.trouble or "the link is closed"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def advance(self, frames: int) -> None:
        """Let so many frames go by in whole callbacks and one shorter last one; nothing happens once it has vanished."""
        end = self._frame + frames
        while self._frame < end and self.alive:
            self._callback(min(self.block_frames, end - self._frame))

    def advance_seconds(self, seconds: float) -> None:
        """``advance`` by the nearest number of frames; what is left of one is owed to the next time."""
        self._owed_frames += seconds * self._true_hz
        frames = round(self._owed_frames)
        self._owed_frames -= frames
        self.advance(frames)

    def vanish(self, trouble: str = "the sound server is gone") -> None:
        """The device or server is gone from here on."""
        self.trouble = trouble

    def left(self) -> Samples:
        """Everything that left so far, shape (frames, channels_out)."""
        return self._left[: self._frame].copy()

    def _callback(self, frames: int) -> None:
        lost = self._flawed()
        start, end = self._frame, self._frame + frames
        self._laid = _reaching(self._laid, end)
        self._left = _reaching(self._left, end)
        self._left[start:end] = np.clip(self._laid[start:end], -1.0, 1.0)
        heard = np.zeros((frames, self.channels_in), np.float32)
        sung = self._microphone[start:end]
        heard[: len(sung)] += sung
        if self._loopback is not None:
            heard += self._leaked(self._loopback, start, frames)[:, None]
        seen = np.concatenate([heard, self._left[start:end]], axis=1)
        names = channel_names(self.channels_in, self.channels_out)
        self._waiting.append(Block(seen, names, start, self.rate_hz, lost, end / self._true_hz))
        self._flags = replace(self._flags, callbacks=self._flags.callbacks + 1)
        self._frame = end

    def _flawed(self) -> int:
        """Frames lost before the callback that is about to happen."""
        lost = 0
        while self._flaws and self._flaws[0][0] <= self._frame:
            _, flaw = self._flaws.pop(0)
            lost += flaw.lost_frames
            self._flags = replace(
                self._flags,
                overflows=self._flags.overflows + (flaw.lost_frames > 0),
                underflows=self._flags.underflows + flaw.underflow,
                lost_frames=self._flags.lost_frames + flaw.lost_frames,
                last_flagged_frame=self._frame,
            )
        self._frame += lost
        return lost

    def _leaked(self, loopback: Loopback, start: int, frames: int) -> Samples:
        first = start - loopback.delay_frames
        out = np.zeros(frames, np.float32)
        taken = self._left[max(first, 0) : max(first + frames, 0)].sum(axis=1)
        out[frames - len(taken) :] = taken
        return (out * loopback.gain).astype(np.float32)


def _reaching(samples: Samples, frames: int) -> Samples:
    """*samples* with silence behind them up to *frames*, with room to grow."""
    if len(samples) >= frames:
        return samples
    longer = np.zeros((frames * 2, samples.shape[1]), np.float32)
    longer[: len(samples)] = samples
    return longer
