"""What a room hums by itself: a refrigerator, a lamp, a fan. One steady line that stands clear of the noise around it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.block import Samples

LOWEST_HZ, HIGHEST_HZ = 40.0, 1_000.0
AROUND = 2**0.5
"""The noise around a line is looked for within half an octave either way."""

CLEAR_DB = 20.0
"""So far a line stands over that noise, or it is noise itself: of white noise of 1.2 s the highest of all points lies 12 dB up."""

LOWER_WITHIN_DB = 10.0
"""Of several lines the lowest counts that is not much weaker than the strongest: it is the one by which ears name the note."""

NARROW_HZ = 6.0


@dataclass(frozen=True, slots=True)
class RoomHum:
    """A steady tone of the room: where it lies, its level, and how far it stands over the noise next to it."""

    hz: float
    dbfs: float
    over_db: float


def room_hum(samples: Samples, rate_hz: int) -> RoomHum | None:
    """The hum in *samples*, shape (n,), a second or more of the room alone; None where nothing hums."""
    if len(samples) < rate_hz // 2:
        return None
    window = np.hanning(len(samples))
    power = np.abs(np.fft.rfft(samples * window)) ** 2 / (window**2).sum() / len(samples)
    hz = np.fft.rfftfreq(len(samples), 1 / rate_hz)
    lines = [line for line in _peaks(hz, power) if line.over_db >= CLEAR_DB]
    if not lines:
        return None
    strongest = max(line.dbfs for line in lines)
    return min((line for line in lines if line.dbfs >= strongest - LOWER_WITHIN_DB), key=lambda line: line.hz)


def _peaks(hz: Samples, power: Samples) -> list[RoomHum]:
    """The highest point of every stretch of ``NARROW_HZ``, its line's power added up."""
    found = []
    step = float(hz[1])
    near = max(1, round(NARROW_HZ / 2 / step))
    for at in range(int(LOWEST_HZ / step), min(int(HIGHEST_HZ / step), len(power) - near - 1)):
        if power[at] <= 0 or power[at] < power[at - near : at + near + 1].max():
            continue
        around = power[(hz > hz[at] / AROUND) & (hz < hz[at] * AROUND)]
        over = 10 * np.log10(power[at] / max(float(np.median(around)), 1e-20))
        # the two halves of the spectrum, once each
        level = 10 * np.log10(2 * float(power[at - near : at + near + 1].sum()) + 1e-20)
        found.append(RoomHum(float(hz[at]), float(level), float(over)))
    return found
