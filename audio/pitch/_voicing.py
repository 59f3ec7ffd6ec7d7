"""From numbers to records: confidence, levels, and whether a hop was sung."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.heard import PitchFrame
from audio.pitch._refine import HALF_FRAMES, Refined

VOICED_CONFIDENCE = 550
QUIETEST_DB10 = -700  # below this a 16-bit recording of a quiet room is not a singer
SILENCE_DB10 = -1200
JITTER_CENTS = 1.5


def _db10(power: NDArray[np.float64]) -> NDArray[np.int64]:
    """Tenths of a dBFS, a full-scale sine being -3 dB."""
    return np.maximum(np.rint(100.0 * np.log10(power + 1e-13)), SILENCE_DB10).astype(np.int64)


class Voicing:
    """State of the voicing decision, from hop to hop."""

    def frames(
        self, line: int, centres: NDArray[np.int64], fine: Refined, bad: list[tuple[int, int]]
    ) -> list[PitchFrame]:
        """Records of these hops."""
        confidence = np.rint(1000.0 * (1.0 - fine.residual / (fine.power + 1e-13))).astype(np.int64)
        level, residual = _db10(fine.power), _db10(fine.residual)
        confidence = np.where(level <= SILENCE_DB10, 0, np.clip(confidence, 0, 1000))
        voiced = (confidence >= VOICED_CONFIDENCE) & (level >= QUIETEST_DB10)
        for begin, end in bad:
            voiced &= (centres + HALF_FRAMES < begin) | (centres - HALF_FRAMES >= end)
        half_width = np.clip(np.ceil(1.96 * np.sqrt(fine.sigma_cents**2 + JITTER_CENTS**2)), 1, 1200)
        rows = zip(
            centres.tolist(), np.rint(fine.cents * 100.0).astype(np.int64).tolist(), half_width.astype(int).tolist(),
            voiced.tolist(), confidence.tolist(), level.tolist(), residual.tolist(), strict=True,
        )  # fmt: skip
        return [PitchFrame(line, *row) for row in rows]
