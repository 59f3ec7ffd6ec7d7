"""From numbers to records: confidence, levels, and whether a hop was sung.

A hop is voiced when its own harmonics explain enough of it, or when those of this hop and the eight before it do together:
a faint voice in noise holds its pitch longer than noise can seem to; or when a voice begins there (``_rising``). What is too quiet, what
``_impostors`` knows as a room or a mains hum, and what touches samples that were not numbers is not voiced.

The limits were set on the development seeds of ``tests/bench/pitch`` and on white, pink, breath, whisper and s noise: 0.2 %
of noise hops at most, 1.5 % of the hops of a whisper, are called voiced.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from audio.compiled import Step
from audio.heard import PitchFrame
from audio.pitch._impostors import SILENCE_DB10, Dying, Hum
from audio.pitch._refine import HALF_FRAMES, Refined
from audio.pitch._rising import LEAST_STRENGTH, rises
from audio.units import RATE_HZ, hz_to_c100

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

SURE_CONFIDENCE, SURE_STRENGTH = 260, 1.8
FAINT_CONFIDENCE, FAINT_STRENGTH = 150, 1.1  # means over HOPS_TOGETHER
MOST_TOGETHER = 300  # of one hop in the mean: a clear note that has ended vouches for nothing after it
FAINT_OWN = 100
FAINT_SHARE = 0.4  # of the mean: a hop far below it is past the note's end
HOPS_TOGETHER = 9
QUIETEST_DB10 = -750  # a singer far from a microphone turned low; the steps of 16 bits are near -1000
JITTER_CENTS = 1.5
LEAST_POWER = 1e-13
BEYOND_C100 = 3_000  # outside the range asked for, a pitch that was drawn to its edge
BEYOND_ABOVE_C100 = 10_000  # from there on a whistle is read an octave low, and lifted


_NONE_BAD = np.empty((0, 2), dtype=np.int64)


class Voicing:
    """State of the voicing decision, from hop to hop.

    Parameters
    ----------
    lowest_hz, highest_hz : float
        The range asked for.
    """

    def __init__(self, lowest_hz: float, highest_hz: float) -> None:
        self._lowest, self._highest = hz_to_c100(lowest_hz) - BEYOND_C100, hz_to_c100(highest_hz) + BEYOND_ABOVE_C100
        self._before = np.zeros((2, HOPS_TOGETHER - 1))  # confidence and strength
        self._dying = Dying()
        self._hum = Hum()

    def frames(
        self,
        line: int,
        centres: Integers,
        fine: Refined,
        strength: Floats,
        bad: list[tuple[int, int]],
        sound: Floats,
        sound_from: int,
    ) -> list[PitchFrame]:
        """Records of these hops.

        Parameters
        ----------
        line : int
        centres : int64 array, shape (hops,)
        fine : Refined
        strength : float64 array, shape (hops,)
            How well ``_salience`` likes the pitch.
        bad : list of (from, to)
            Frames that were not numbers.
        sound : float64 array
            What the hops were cut from, ``sound[0]`` being frame *sound_from*, with ``_rising.AHEAD_FRAMES`` to each side.
        """
        out = np.empty((len(centres), 7), dtype=np.int64)
        VOICED.now(
            centres,
            fine.cents,
            fine.f0_hz,
            fine.sigma_cents,
            fine.power,
            fine.residual,
            np.log10(fine.power + LEAST_POWER),
            np.log10(fine.residual + LEAST_POWER),
            strength,
            np.array(bad, dtype=np.int64).reshape(-1, 2) if bad else _NONE_BAD,
            self._lowest,
            self._highest,
            self._before,
            self._hum.now,
            self._dying.past,
            self._dying.now,
            sound,
            sound_from,
            out,
        )
        return [
            PitchFrame(line, centre, pitch, width, voiced == 1, confidence, level, residual)
            for centre, pitch, width, voiced, confidence, level, residual in out.tolist()
        ]


def _voiced(
    centres: Integers,
    cents: Floats,
    f0_hz: Floats,
    sigma_cents: Floats,
    power: Floats,
    residual: Floats,
    power_log: Floats,
    residual_log: Floats,
    strength: Floats,
    bad: Integers,
    lowest: int,
    highest: int,
    before: Floats,
    hum: Integers,
    dying_past: Integers,
    dying: Integers,
    sound: Floats,
    sound_from: int,
    out: Integers,
) -> None:
    """Columns of ``PitchFrame`` from the second on into *out*; what stands between *highest* and *sound* is carried on, in place."""
    level, rest = _db10(power_log), _db10(residual_log)
    confidence = np.rint(1000.0 * (1.0 - residual / (power + LEAST_POWER))).astype(np.int64)
    confidence = np.where(level <= SILENCE_DB10, 0, np.maximum(confidence, 0))
    pitch = np.rint(cents * 100.0).astype(np.int64)
    voiced = _harmonic(before, confidence, strength)
    for hop in np.flatnonzero(~voiced & (strength >= LEAST_STRENGTH)).tolist():
        voiced[hop] = rises(sound, int(centres[hop]) - sound_from, RATE_HZ / f0_hz[hop])
    voiced &= level >= QUIETEST_DB10
    voiced &= (pitch >= lowest) & (pitch <= highest)
    for begin, end in bad.tolist():
        voiced &= (centres + HALF_FRAMES < begin) | (centres - HALF_FRAMES >= end)
    for impostor in (Hum.of(hum), Dying.of(dying_past, dying)):
        voiced &= ~impostor.hops(level.tolist(), pitch.tolist(), voiced.tolist())
    half_width = np.minimum(np.ceil(1.96 * np.sqrt(sigma_cents**2 + JITTER_CENTS**2)), 1200.0)
    for column, values in enumerate((centres, pitch, half_width, voiced, confidence, level, rest)):
        out[:, column] = values


def _db10(logs: Floats) -> Integers:
    """Tenths of a dBFS, a full-scale sine being -3 dB, of the logarithms to 10 of powers."""
    return np.maximum(np.rint(100.0 * logs), SILENCE_DB10).astype(np.int64)


def _harmonic(before: Floats, confidence: Integers, strength: Floats) -> NDArray[np.bool_]:
    both = np.concatenate((before, np.stack((confidence.astype(np.float64), strength))), axis=1)
    before[:] = both[:, 1 - HOPS_TOGETHER :]
    rows = np.stack((both[0], np.minimum(both[0], MOST_TOGETHER), both[1])) / HOPS_TOGETHER
    # a running sum adds hop by hop from the oldest, so that the order never depends on the batch
    means: Floats = np.cumsum(sliding_window_view(rows, HOPS_TOGETHER, axis=1), axis=2)[:, :, -1]
    mean_confidence, together, mean_strength = means
    sure = (confidence >= SURE_CONFIDENCE) & (strength >= SURE_STRENGTH)
    faint = (together >= FAINT_CONFIDENCE) & (mean_strength >= FAINT_STRENGTH)
    faint &= (confidence >= FAINT_OWN) & (confidence >= FAINT_SHARE * mean_confidence)
    voiced: NDArray[np.bool_] = sure | faint
    return voiced


VOICED = Step(_voiced, "audio.pitch.compiled", "voiced")
