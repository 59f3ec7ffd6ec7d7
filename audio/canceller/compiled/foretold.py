"""Twin of ``_filter._foretold``."""

from __future__ import annotations

from typing import Any

import numpy as np

SIGNATURE = (
    "void(complex64[::1], int64, complex64[:,::1], complex64[:,::1], complex64[:,::1], float32[:,::1], complex64[::1])"
)
HELPERS = ()


def foretold(spectrum: Any, at: int, weights: Any, spectra: Any, conjugates: Any, powers: Any, out: Any) -> None:
    """See the twin."""
    partitions, bins = weights.shape
    for row in (at, at + partitions):
        own, mirrored, power = spectra[row], conjugates[row], powers[row]
        for k in range(bins):
            value = spectrum[k]
            own[k] = value
            mirrored[k] = value.conjugate()
            power[k] = value.real * value.real + value.imag * value.imag
    parts = out.view(np.float32)
    for k in range(2 * bins):
        parts[k] = np.float32(0.0)
    for p in range(partitions):
        weight, sound = weights[p].view(np.float32), spectra[at + p].view(np.float32)
        for k in range(bins):
            real, imag, by_real, by_imag = weight[2 * k], weight[2 * k + 1], sound[2 * k], sound[2 * k + 1]
            parts[2 * k] += real * by_real - imag * by_imag
            parts[2 * k + 1] += real * by_imag + imag * by_real
