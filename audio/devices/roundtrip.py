"""How long sound takes from our own output to our own microphone, by playing and listening; and how loud it comes back.

Six soft upward chirps are played at uneven distances. The whole row is looked for first, so that a delay longer than a distance
cannot be taken for a short one; then each chirp by itself, so that the spread tells whether the delay holds still. What is
compared with the microphone is what really left, fade and limit included.

A chirp is found by its correlation (matched filter; North 1943, reprinted in Proc. IEEE 51, 1963). A reflection as loud as the
first sound is told from it only by coming later.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from audio.block import Block, Samples
from audio.devices.link import SoundLink
from audio.errors import DeviceError

CHIRP_SECONDS = 0.09
CHIRP_HZ = (350.0, 3_000.0)
CHIRP_PEAK = 0.07
"""-23 dBFS: softer than any voice of ours."""

STARTS_SECONDS = (0.0, 0.41, 0.86, 1.24, 1.71, 2.05)
"""No two distances are alike, neighbours or not, within 20 ms."""

LONGEST_SECONDS = 0.9
"""Wireless headphones stay below half a second; more is not looked for."""

ALIKE = 0.35
"""Correlation from which a chirp counts as heard. Noise alone reached 0.19 in 200 runs: tests/audio/devices/test_roundtrip.py."""

FEWEST_HEARD = 4
STEADY_MS = 5.0
FINE_SECONDS = 0.04
TRIES = 3
ASSUMED_MS = 100.0
LEAD_SECONDS = 0.3

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class RoundTrip:
    """The delay of one pair of devices.

    Parameters
    ----------
    round_trip_ms : float
        From a frame's leaving to its arrival on the microphone's channel, as frames of the link count.
    spread_ms : float
        Longest less shortest of the chirps heard; 0 where it was not measured.
    bleed_db : float or None
        How loud our own sound comes back against how it left, both as digital levels; None where it was not heard.
    source : str
        "measured", "reported" by the driver, or "assumed" where the driver says nothing.
    chirps : int
        Heard, of six.
    """

    round_trip_ms: float
    spread_ms: float
    bleed_db: float | None
    source: Literal["measured", "reported", "assumed"]
    chirps: int = 0

    def frames(self, rate_hz: int) -> int:
        """The delay in frames."""
        return round(self.round_trip_ms * rate_hz / 1000.0)


def measure(link: SoundLink, wait: Callable[[float], None] = time.sleep) -> RoundTrip | None:
    """Play and listen, about three seconds; None when our own sound is not heard.

    Parameters
    ----------
    link : SoundLink
        With a microphone and an output.
    wait : function of seconds
        ``FakeSound.advance_seconds`` in tests.

    Raises
    ------
    DeviceError
        When the device vanishes, or when the delay does not hold still within 5 ms in any of three tries.
    """
    trouble: DeviceError | None = None
    for _ in range(TRIES):
        flagged = link.flags().last_flagged_frame
        heard, start = _played_and_heard(link, wait)
        try:
            found = found_in(heard, start, link.rate_hz, link.channels_in)
        except DeviceError as err:
            trouble = err  # a server that has just begun may still be finding its pace
            continue
        # where sound was lost meanwhile, silence says nothing of the devices
        if found is not None or link.flags().last_flagged_frame == flagged:
            return found
        trouble = None
    if trouble is not None:
        raise trouble
    return None


def unmeasured(link: SoundLink) -> RoundTrip:
    """What the driver reports, or an assumption; timing is not judged by either."""
    reported = link.reported_round_trip_frames
    if reported is not None:
        return RoundTrip(reported * 1000.0 / link.rate_hz, 0.0, None, "reported")
    return RoundTrip(ASSUMED_MS, 0.0, None, "assumed")


def chirp(rate_hz: int) -> Samples:
    """One chirp, float32, shape (n,): an exponential sweep under a raised cosine."""
    count = round(CHIRP_SECONDS * rate_hz)
    at = np.arange(count) / rate_hz
    low, high = CHIRP_HZ
    rise = np.log(high / low)
    phase = 2 * np.pi * low * CHIRP_SECONDS / rise * (np.exp(at * rise / CHIRP_SECONDS) - 1)
    window = np.sin(np.pi * (np.arange(count) + 0.5) / count) ** 2
    return np.asarray(CHIRP_PEAK * window * np.sin(phase), np.float32)


def found_in(blocks: Sequence[Block], start_frame: int, rate_hz: int, channels_in: int = 1) -> RoundTrip | None:
    """The delay in a recording of both channels; None when fewer than four chirps are heard. Raises DeviceError when it moves.

    Parameters
    ----------
    blocks : sequence of Block
        With "mic1" and "played1"; of several microphones the loudest counts.
    start_frame : int
        Where the first chirp was laid.
    """
    end = max((block.end_frame for block in blocks), default=start_frame)
    played = _joined(blocks, "played1", start_frame, end)
    heard = [_joined(blocks, f"mic{number + 1}", start_frame, end) for number in range(channels_in)]
    loudest = max(heard, key=lambda samples: float(np.square(samples).sum()))
    count = round(CHIRP_SECONDS * rate_hz)
    whole = _delay_of(played, loudest, round(LONGEST_SECONDS * rate_hz))
    if whole is None:
        return None
    delays, gains = [], []
    fine = round(FINE_SECONDS * rate_hz)
    for seconds in STARTS_SECONDS:
        at = round(seconds * rate_hz)
        left = played[at : at + count]
        first = at + whole - fine
        window = loudest[max(first, 0) : at + whole + count + fine]
        result = _best(left, window)
        if result is not None:
            delays.append(max(first, 0) - at + result[0])
            gains.append(result[1])
    if len(delays) < FEWEST_HEARD:
        return None
    delay_ms, spread_ms = (float(value) * 1000.0 / rate_hz for value in (np.median(delays), np.ptp(delays)))
    if spread_ms > STEADY_MS:
        raise DeviceError(
            f"the delay of this sound does not hold still: it moved by {spread_ms:.0f} ms",
            "",
            "use wired headphones instead of wireless ones, and close other programs",
        )
    bleed_db = 20 * np.log10(max(float(np.median(gains)), 1e-9))
    return RoundTrip(delay_ms, spread_ms, float(bleed_db), "measured", len(delays))


def _played_and_heard(link: SoundLink, wait: Callable[[float], None]) -> tuple[list[Block], int]:
    one = np.repeat(chirp(link.rate_hz)[:, None], link.channels_out, axis=1)
    link.read()
    start = link.write_until() + round(LEAD_SECONDS * link.rate_hz)
    due = [start + round(seconds * link.rate_hz) for seconds in STARTS_SECONDS]
    end = due[-1] + len(one) + round(LONGEST_SECONDS * link.rate_hz)
    heard: list[Block] = []
    while not heard or heard[-1].end_frame < end:
        while due and due[0] + len(one) < link.write_until() + link.room_frames:
            link.play(due.pop(0), one)
        wait(0.02)
        heard += link.read()
        if not link.alive:
            raise DeviceError(link.trouble, f"{link.input_name}, {link.output_name}", "plug it in again and repeat")
    return heard, start


def _joined(blocks: Sequence[Block], channel: str, start: int, end: int) -> Floats:
    """One channel from *start* to *end*, silence where frames were lost."""
    out = np.zeros(end - start)
    for block in blocks:
        skip = max(start - block.start_frame, 0)
        samples = block.channel(channel)[skip:]
        at = block.start_frame + skip - start
        out[at : at + len(samples)] = samples
    return out


def _delay_of(played: Floats, heard: Floats, longest: int) -> int | None:
    """Whole frames by which *heard* follows *played*, 0 to *longest*; None where it is silent."""
    if not heard.any() or not played.any():
        return None
    size = 1 << (len(played) + len(heard) - 1).bit_length()
    across = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(played, size)), size)
    return _first_as_high(np.abs(across[: longest + 1]))


def _best(left: Floats, window: Floats) -> tuple[float, float] | None:
    """Offset of *left* inside *window* with its fraction, and its gain there; None where it is not like it."""
    energy = float(left @ left)
    if energy <= 0 or len(window) < len(left) + 2:
        return None
    across = np.correlate(window, left, "valid")
    at = _first_as_high(np.abs(across))
    there = window[at : at + len(left)]
    likeness = abs(float(across[at])) / np.sqrt(energy * max(float(there @ there), 1e-30))
    if likeness < ALIKE:
        return None
    shift = 0.0
    if 0 < at < len(across) - 1:  # the peak between three samples is taken for a parabola's
        before, peak, after = np.abs(across[at - 1 : at + 2])
        bend = before - 2 * peak + after
        shift = float(0.5 * (before - after) / bend) if bend < 0 else 0.0
    return at + shift, abs(float(across[at])) / energy


def _first_as_high(row: Floats) -> int:
    """Index of the first peak at least nine tenths as high as the highest."""
    near = np.flatnonzero(row >= 0.9 * row.max())
    at = int(near[0])
    while at + 1 < len(row) and row[at + 1] > row[at]:
        at += 1
    return at
