"""From numbers to records: confidence, levels, and whether a hop was sung.

A hop is voiced when its own harmonics explain enough of it, or when those of this hop and the eight before it do together:
a faint voice in noise holds its pitch longer than noise can seem to. What is too quiet, what ``_impostors`` knows as a room or a
mains hum, and what touches samples that were not numbers is not voiced.

The limits were set on the development seeds of ``tests/bench/pitch`` and on white, pink, breath, whisper and s noise: 0.2 %
of noise hops at most, 1.5 % of the hops of a whisper, are called voiced.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from audio.heard import PitchFrame
from audio.pitch._impostors import SILENCE_DB10, Dying, Hum
from audio.pitch._refine import HALF_FRAMES, Refined
from audio.units import hz_to_c100

Floats = NDArray[np.float64]

SURE_CONFIDENCE, SURE_STRENGTH = 260, 1.8
FAINT_CONFIDENCE, FAINT_STRENGTH = 150, 1.1  # means over HOPS_TOGETHER
MOST_TOGETHER = 300  # of one hop in the mean: a clear note that has ended vouches for nothing after it
FAINT_OWN = 100
FAINT_SHARE = 0.4  # of the mean: a hop far below it is past the note's end
HOPS_TOGETHER = 9
QUIETEST_DB10 = -750  # a singer far from a microphone turned low; the steps of 16 bits are near -1000
JITTER_CENTS = 1.5
BEYOND_C100 = 3_000  # outside the range asked for, a pitch that was drawn to its edge


def _db10(power: Floats) -> NDArray[np.int64]:
    """Tenths of a dBFS, a full-scale sine being -3 dB."""
    return np.maximum(np.rint(100.0 * np.log10(power + 1e-13)), SILENCE_DB10).astype(np.int64)


class Voicing:
    """State of the voicing decision, from hop to hop.

    Parameters
    ----------
    lowest_hz, highest_hz : float
        The range asked for.
    """

    def __init__(self, lowest_hz: float, highest_hz: float) -> None:
        self._range_c100 = hz_to_c100(lowest_hz) - BEYOND_C100, hz_to_c100(highest_hz) + BEYOND_C100
        self._confidence = np.zeros(HOPS_TOGETHER - 1)
        self._strength = np.zeros(HOPS_TOGETHER - 1)
        self._dying = Dying()
        self._hum = Hum()

    def frames(
        self, line: int, centres: NDArray[np.int64], fine: Refined, strength: Floats, bad: list[tuple[int, int]]
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
        """
        level, residual = _db10(fine.power), _db10(fine.residual)
        confidence = np.rint(1000.0 * (1.0 - fine.residual / (fine.power + 1e-13))).astype(np.int64)
        confidence = np.where(level <= SILENCE_DB10, 0, np.maximum(confidence, 0))
        pitch = np.rint(fine.cents * 100.0).astype(np.int64)
        voiced = self._harmonic(confidence, strength) & (level >= QUIETEST_DB10)
        voiced &= (pitch >= self._range_c100[0]) & (pitch <= self._range_c100[1])
        for begin, end in bad:
            voiced &= (centres + HALF_FRAMES < begin) | (centres - HALF_FRAMES >= end)
        for impostor in (self._hum, self._dying):
            voiced &= ~impostor.hops(level.tolist(), pitch.tolist(), voiced.tolist())
        half_width = np.minimum(np.ceil(1.96 * np.sqrt(fine.sigma_cents**2 + JITTER_CENTS**2)), 1200.0).astype(np.int64)
        columns = (centres, pitch, half_width, voiced, confidence, level, residual)
        return [PitchFrame(line, *row) for row in zip(*(column.tolist() for column in columns), strict=True)]

    def _harmonic(self, confidence: NDArray[np.int64], strength: Floats) -> NDArray[np.bool_]:
        all_confidence: Floats = np.concatenate((self._confidence, confidence.astype(np.float64)))
        all_strength = np.concatenate((self._strength, strength))
        self._confidence, self._strength = all_confidence[1 - HOPS_TOGETHER :], all_strength[1 - HOPS_TOGETHER :]
        rows = np.stack((all_confidence, np.minimum(all_confidence, MOST_TOGETHER), all_strength)) / HOPS_TOGETHER
        # a running sum adds hop by hop from the oldest, so that the order never depends on the batch
        means: Floats = np.cumsum(sliding_window_view(rows, HOPS_TOGETHER, axis=1), axis=2)[:, :, -1]
        mean_confidence, together, mean_strength = means
        sure = (confidence >= SURE_CONFIDENCE) & (strength >= SURE_STRENGTH)
        faint = (together >= FAINT_CONFIDENCE) & (mean_strength >= FAINT_STRENGTH)
        faint &= (confidence >= FAINT_OWN) & (confidence >= FAINT_SHARE * mean_confidence)
        voiced: NDArray[np.bool_] = sure | faint
        return voiced
