"""What a microphone's own sound tells of it: perfect silence, a telephone's band, how loud the room is. Pure; arrays in, facts out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples

VOICE_HZ = (80.0, 8_000.0)
"""Where levels are taken: below it rooms rumble, above it voices have little."""

CALL_RATES_HZ = (8_000, 16_000)
"""Sampling rates of telephony, narrow and wide band: ITU-T G.711 and G.722."""

CLEAR_DB = 12.0
"""A voice nearer than this to the room's own level is hard to tell from it."""

SILENT_ROOM_DBFS = -90.0
"""Below it a room is a converter's own silence, and says nothing of the band."""

CUT_DB = 30.0
"""Rooms fall by less than this from one band to the next; a resampled call falls by far more."""

FLOOR_DBFS = -120.0
STEP_SECONDS = 0.1


def only_zeros(samples: Samples) -> bool:
    """Whether a second or whatever there is holds nothing but exact zeros; True for no samples at all."""
    return not np.any(samples)


def levels_dbfs(samples: Samples, rate_hz: int) -> NDArray[np.float64]:
    """Level of each tenth of a second between 80 Hz and 8 kHz, shape (tenths,); a sine at full scale is -3 dBFS."""
    step = round(STEP_SECONDS * rate_hz)
    count = len(samples) // step
    if count == 0:
        return np.zeros(0)
    rows = np.asarray(samples[: count * step], np.float64).reshape(count, step)
    window = np.hanning(step)
    power = np.abs(np.fft.rfft(rows * window, axis=1)) ** 2 * 2 / (step * np.square(window).sum())
    hertz = np.fft.rfftfreq(step, 1 / rate_hz)
    inside = power[:, (hertz >= VOICE_HZ[0]) & (hertz <= VOICE_HZ[1])].sum(axis=1)
    return np.asarray(10 * np.log10(np.maximum(inside, 10 ** (FLOOR_DBFS / 10))), np.float64)


def call_rate_hz(room: Samples, rate_hz: int) -> int | None:
    """The telephone's rate that this microphone's sound has gone through, or None.

    Parameters
    ----------
    room : float32 array, shape (n,)
        At least half a second with nobody singing: every real microphone has some noise up to half its own rate.
    rate_hz : int
        The rate at which it arrived, which a sound server may have raised.
    """
    if rate_hz in CALL_RATES_HZ or rate_hz < 8_000:
        return rate_hz
    for call_hz in CALL_RATES_HZ:
        edge = call_hz / 2
        if rate_hz / 2 < edge * 1.4:
            continue
        below = _density_db(room, rate_hz, (edge * 0.5, edge * 0.85))
        above = _density_db(room, rate_hz, (edge * 1.1, edge * 1.4))
        if below > SILENT_ROOM_DBFS - 10 * np.log10(edge * 0.35) and below - above > CUT_DB:
            return call_hz
    return None


def _density_db(samples: Samples, rate_hz: int, band_hz: tuple[float, float]) -> float:
    """Mean power a hertz in a band, in decibels against full scale."""
    size = 2_048
    count = len(samples) // size
    if count == 0:
        return FLOOR_DBFS - 60
    rows = np.asarray(samples[: count * size], np.float64).reshape(count, size)
    # a window whose side lobes fall fast, so that a loud low tone does not stand for noise above
    at = 2 * np.pi * (np.arange(size) + 0.5) / size
    window = 0.35875 - 0.48829 * np.cos(at) + 0.14128 * np.cos(2 * at) - 0.01168 * np.cos(3 * at)
    power = (np.abs(np.fft.rfft(rows * window, axis=1)) ** 2).mean(axis=0) * 2 / (rate_hz * np.square(window).sum())
    hertz = np.fft.rfftfreq(size, 1 / rate_hz)
    inside = power[(hertz >= band_hz[0]) & (hertz <= band_hz[1])]
    return float(10 * np.log10(max(float(inside.mean()), 1e-18)))
