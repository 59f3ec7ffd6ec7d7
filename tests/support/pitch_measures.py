"""Independent measures of a steady tone's frequency: one of our own by Fourier transform, one by Praat.

Source of the interpolation: a parabola through the logarithm of a windowed peak, J. O. Smith, "Spectral Audio Signal Processing" (2011).
"""

from __future__ import annotations

import numpy as np
import parselmouth


def by_fourier(sound: np.ndarray, rate_hz: int, near_hz: float) -> float:
    """Frequency of the fundamental, from the strongest partial among the first twelve, in hertz; AssertionError for another octave."""
    padded = 1 << (len(sound) * 4 - 1).bit_length()
    bins = np.abs(np.fft.rfft(sound * np.blackman(len(sound)), padded))
    width = near_hz * padded / rate_hz
    tops = []
    for number in range(1, 13):
        low, high = int((number - 0.3) * width), int((number + 0.3) * width)
        if high + 1 < len(bins):
            top = low + int(np.argmax(bins[low:high]))
            tops.append((bins[top], number, top))
    strongest, number, top = max(tops)
    # partials alone do not tell an octave: the fundamental must be there, and nothing between the partials
    half = [bins[int((k - 0.05) * width) : int((k + 0.05) * width) + 1].max() for k in (0.5, 1.5)]
    if tops[0][0] < 0.01 * strongest or max(half) > 0.1 * strongest:
        raise AssertionError(f"this is not a tone near {near_hz} Hz")
    before, here, after = np.log(bins[top - 1 : top + 2])
    offset = (before - after) / (2 * (before - 2 * here + after))
    return float((top + offset) * rate_hz / padded / number)


def by_praat(sound: np.ndarray, rate_hz: int, near_hz: float) -> float:
    """Median of Praat's autocorrelation method, in hertz."""
    pitch = parselmouth.Sound(sound.astype(np.float64), rate_hz).to_pitch_ac(
        0.01, near_hz / 1.5, 15, True, 0.03, 0.45, 0.01, 0.35, 0.14, near_hz * 1.5
    )
    found = pitch.selected_array["frequency"]
    return float(np.median(found[found > 0]))


def cents(f0_hz: float, reference_hz: float) -> float:
    """Distance in cents, sharp positive."""
    return float(1200 * np.log2(f0_hz / reference_hz))
