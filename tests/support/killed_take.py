"""A live take in a process of its own that may be killed at any moment, and whose sound tells how much of it was kept.

The microphone is a tone that rises four semitones a second, so the pitch that was kept last says at which moment it sounded, whatever
the program made of frames and axes. Sound goes by as the machine's clock does, but stands still while a crowded machine gives the process
nothing for longer than a twentieth of a second: what is asked is what the program loses, not what it never got.
"""

from __future__ import annotations

import math
import mmap
import os
import signal
import struct
import time
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score

from audio.devices.fake import FakeSound
from audio.heard import PitchFrame
from audio.units import SEMITONE_C100, hz_to_c100
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.session import Session
from trainer.live.wish import Wish
from trainer.log.attempt import Attempt
from trainer.places import Places

FROM_HZ, SEMITONES_A_SECOND = 110.0, 4
SECONDS = 8.0
MOST_AT_ONCE_S = 0.05
PATIENCE_S = 300.0
BEFORE, TAKEN, KEPT = 0, 1, 2
_SEEN = struct.Struct("<qq")  # frames delivered, how far the session is


def microphone() -> np.ndarray:
    """The rising tone, shape (frames, 1), with two harmonics so that it is heard as a voice might be."""
    at = np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ
    rate = SEMITONES_A_SECOND * math.log(2) / 12
    turns = FROM_HZ * np.expm1(rate * at) / rate
    wave = sum(np.sin(2 * np.pi * k * turns) / k for k in range(1, 9))
    return (0.1 * wave).astype(np.float32)[:, None]


def moment_s(frame: PitchFrame) -> float:
    """When what this frame heard sounded, by its pitch."""
    return (frame.f0_c100 - hz_to_c100(FROM_HZ)) / SEMITONE_C100 / SEMITONES_A_SECOND


@dataclass
class Blow:
    """One take and its end: *late_s* after so many seconds of sound; *mark* is the tolerance in cents by which its take is known again."""

    mark: int
    pid: int
    seen: mmap.mmap
    at_s: float
    late_s: float
    landed: bool = False

    def looked(self) -> tuple[float, int]:
        """Seconds of sound that were delivered, and how far the session was."""
        frames, phase = _SEEN.unpack(self.seen[: _SEEN.size])
        return frames / RATE_HZ, phase


def begun(sound: np.ndarray, places: Places, mark: int, at_s: float, late_s: float) -> Blow:
    """A take under way in a child."""
    seen = mmap.mmap(-1, mmap.PAGESIZE)
    pid = os.fork()
    if pid == 0:
        try:
            _sing(sound, places, mark, seen)
        finally:
            os._exit(0)
    return Blow(mark, pid, seen, at_s, late_s)


def ended(blows: list[Blow]) -> None:
    """Kill each at its moment, and wait for all."""
    due: dict[int, float] = {}
    until = time.monotonic() + PATIENCE_S
    waiting = list(blows)
    while waiting:
        now = time.monotonic()
        for blow in list(waiting):
            heard_s, phase = blow.looked()
            if heard_s >= blow.at_s or phase != BEFORE or now > until:
                due.setdefault(blow.pid, now + blow.late_s)
            if due.get(blow.pid, now + 1) <= now:
                os.kill(blow.pid, signal.SIGKILL)  # nobody has waited for it yet, so its number is still its own
                waiting.remove(blow)
        time.sleep(0.003)
    for blow in blows:
        _, status = os.waitpid(blow.pid, 0)
        blow.landed = os.WIFSIGNALED(status)


def lost_s(blow: Blow, attempt: Attempt | None) -> float:
    """How much of what had sounded when the blow fell is not in what was kept (None: nothing was).

    Raises
    ------
    AssertionError
        For a take with holes, or one that was through and is not whole.
    """
    delivered_s, phase = blow.looked()
    frames = [] if attempt is None else [record for record in attempt.heard if isinstance(record, PitchFrame)]
    first = frames[0].centre_frame if frames else 0
    assert [one.centre_frame for one in frames] == [first + 120 * k for k in range(len(frames))], "a take with a hole"
    if phase == KEPT:
        assert attempt is not None, "a take that was put away is gone"
        assert attempt.whole, "a take that was put away is not whole"
    last_s = next((moment_s(one) for one in reversed(frames) if one.voiced), 0.0)
    return delivered_s - last_s


def _sing(sound: np.ndarray, places: Places, mark: int, seen: mmap.mmap) -> None:
    link = FakeSound(sound, rate_hz=RATE_HZ, block_frames=480, channels_out=0)
    before, phase = [time.monotonic()], [BEFORE]

    def wait(seconds: float) -> None:
        time.sleep(seconds)
        now = time.monotonic()
        link.advance_seconds(min(now - before[0], MOST_AT_ONCE_S))
        before[0] = now
        seen[: _SEEN.size] = _SEEN.pack(link.write_until(), phase[0])

    class Nobody:
        def show(self, state: object) -> None:
            if getattr(state, "performance", None) is not None:
                phase[0] = TAKEN
                seen[: _SEEN.size] = _SEEN.pack(link.write_until(), TAKEN)

        def commands(self) -> list[str]:
            return []

    desk = Desk(TENOR, sounding="silent")
    wish = Wish(
        short_score(), TENOR, replace(SETTINGS, tolerance_cents=mark), desk, look_through_seconds=0, count_in_bars=1
    )
    delay = Delay(0, "measured", RATE_HZ)
    Session(link, wish, delay, Nobody(), wait=wait, places=places, tell=lambda _: None).run()
    seen[: _SEEN.size] = _SEEN.pack(link.write_until(), KEPT)


WHOLE_S = float(Fraction(60, 120) * 2 * 5) + 0.7
"""One bar of count, four of music, and what is listened to after it."""
