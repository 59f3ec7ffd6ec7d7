"""The power around each of the first harmonics of a note, in cents: where its singers' pitches show themselves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples

Real = NDArray[np.floating[Any]]

HARMONICS, MEASURED = 6, 8
"""Which tell what note is sung, and in which it is measured; from ten on the bands would cut a wide section off."""

WIDEST_CENTS, NARROWEST_CENTS = 150.0, 75.0
SHARE_OF_GAP = 0.42
"""A band reaches this far to the nearest other harmonic, at most ``WIDEST_CENTS``; beside another line's harmonic at least
``NARROWEST_CENTS``, else it is left out: a section of usual spread would be cut off."""

FLOOR_SHARE, FLOOR_OVER, LOWEST_OVER = 0.1, 3.0, 20.0
"""The quietest tenth of a band is noise; three times that is taken off; a harmonic must stand 20 dB over it."""

SKIRT_DB = -30.0
"""What lies so far under a band's peak is its skirt."""


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """A windowed note: frequencies and power, shape (bins,), and how long it is."""

    hz: Real
    power: Real
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """One harmonic with the noise taken off.

    Parameters
    ----------
    cents, power : float array, shape (bins,)
        Against the harmonic.
    own_variance : float
        The window's own, in cents squared.
    """

    cents: Real
    power: Real
    own_variance: float


def spectrum_of(samples: Samples, rate_hz: int) -> Spectrum:
    """The note *samples*, shape (n,), under a Hann window, at four points a resolution."""
    size = 1 << int(np.ceil(np.log2(4 * len(samples))))
    power = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size)) ** 2
    return Spectrum(np.fft.rfftfreq(size, 1 / rate_hz), power, len(samples) / rate_hz)


def edges(f0_hz: float, number: int) -> tuple[float, float]:
    """Hertz of both ends of harmonic *number*'s band, where nothing else is sung."""
    return _around(f0_hz, number, _half_cents(number))


def edges_beside(f0_hz: float, number: int, others_hz: Sequence[float]) -> tuple[float, float] | None:
    """The same where notes *others_hz* sound too; None where one of their harmonics is too near to be told apart."""
    at = number * f0_hz
    gaps = [
        abs(1200 * np.log2(near * other / at))
        for other in others_hz
        for near in range(max(1, int(at / other)), int(at / other) + 2)
    ]
    half = min(_half_cents(number), *(SHARE_OF_GAP * gap for gap in gaps))
    return _around(f0_hz, number, float(half)) if half >= NARROWEST_CENTS else None


def band_in(spectrum: Spectrum, f0_hz: float, number: int, ends_hz: tuple[float, float]) -> Band | None:
    """Harmonic *number* between *ends_hz*; None where nothing stands out of its noise."""
    inside = (spectrum.hz >= ends_hz[0]) & (spectrum.hz <= ends_hz[1])
    power = spectrum.power[inside]
    if not len(power):
        return None
    floor = float(np.quantile(power, FLOOR_SHARE))
    peak = float(power.max())
    if peak <= 0 or peak < floor * 10 ** (LOWEST_OVER / 10):
        return None
    power = np.clip(power - FLOOR_OVER * floor, 0, None)
    power[power < peak * 10 ** (SKIRT_DB / 10)] = 0
    # the Hann window's own second moment is 1 / (3 T^2) in hertz squared
    own = (1200 / np.log(2) / (number * f0_hz)) ** 2 / (3 * spectrum.seconds**2)
    return Band(1200 * np.log2(spectrum.hz[inside] / (number * f0_hz)), power, float(own))


def bands_of(spectrum: Spectrum, f0_hz: float) -> list[Band]:
    """Those of the first harmonics that stand out."""
    found = (band_in(spectrum, f0_hz, number, edges(f0_hz, number)) for number in range(1, MEASURED + 1))
    return [band for band in found if band is not None]


def power_between(spectrum: Spectrum, ends_hz: Iterable[tuple[float, float]]) -> list[float]:
    """All the power between each pair of ends."""
    return [float(spectrum.power[(spectrum.hz >= low) & (spectrum.hz <= high)].sum()) for low, high in ends_hz]


def _half_cents(number: int) -> float:
    return min(WIDEST_CENTS, SHARE_OF_GAP * 1200 * float(np.log2((number + 1) / number)))


def _around(f0_hz: float, number: int, half_cents: float) -> tuple[float, float]:
    return number * f0_hz * 2 ** (-half_cents / 1200), number * f0_hz * 2 ** (half_cents / 1200)
