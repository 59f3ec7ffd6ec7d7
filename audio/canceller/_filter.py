"""The way from loudspeaker to microphone as a partitioned filter in the frequency domain, adapted like a Kalman filter.

Blocks of ``BLOCK_FRAMES`` at ``RATE_HZ``, overlap-save. Each coefficient carries its own uncertainty; a block moves it by that
uncertainty against what the error holds besides (somebody who sings), so a loud singer slows it down by herself. What the error may
not teach at all is frozen bin by bin by whoever calls.

Sources: partitioned overlap-save, Soo & Pang (1990), IEEE Trans. ASSP 38; the diagonal Kalman filter, Enzner & Vary (2006), Signal
Processing 86, and its partitions, Kuech, Mabande & Enzner (2014), ICASSP (all from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.compiled import Step

Floats = NDArray[np.float32]
Complexes = NDArray[np.complex64]

BLOCK_FRAMES = 256
BINS = BLOCK_FRAMES + 1
PARTITIONS = 28
"""Of a block each: 299 ms of the room."""

TAPS = BLOCK_FRAMES * PARTITIONS
CONSTRAINED_AT_ONCE = 4
"""Partitions, every second block, whose second half is put back to nothing; all have had their turn after 14 blocks."""

NEAR_KEPT = 0.8
"""Share of the old estimate of what else is heard that a block of 10.7 ms keeps: our own, by simulation."""

ELSEWHERE = np.float32(0.1)
TINY = 1e-12


class PartitionedFilter:
    """What our own sound is at the microphone, block by block.

    Parameters
    ----------
    taps : float array, shape (TAPS,), or None
        The room as it was learnt; None for one nobody knows.
    """

    def __init__(self, taps: NDArray[np.floating] | None = None) -> None:
        self._weights = np.zeros((PARTITIONS, BINS), np.complex64)
        self._doubt = np.zeros((PARTITIONS, BINS), np.float32)
        if taps is not None:
            parts = np.zeros((PARTITIONS, 2 * BLOCK_FRAMES), np.float32)
            parts[:, :BLOCK_FRAMES] = np.reshape(taps, (PARTITIONS, BLOCK_FRAMES))
            self._weights = transformed(parts)
        self._as_learnt = self._weights.copy()
        self._moves = np.zeros_like(self._weights)
        self._step = np.zeros_like(self._doubt)
        self._turn = self._blocks = 0
        self.forget_sound()

    def forget_sound(self) -> None:
        """Silence before; what was learnt stays."""
        self._spectra = np.zeros((2 * PARTITIONS, BINS), np.complex64)
        self._conjugates = np.zeros((2 * PARTITIONS, BINS), np.complex64)
        self._powers = np.zeros((2 * PARTITIONS, BINS), np.float32)
        self._at = 0
        self._sound = np.zeros(2 * BLOCK_FRAMES, np.float32)
        self._error = np.zeros(2 * BLOCK_FRAMES, np.float32)
        self._near = np.full(BINS, TINY, np.float32)

    @property
    def taps(self) -> Floats:
        """The room as it is known now, shape (TAPS,)."""
        return np.fft.irfft(self._weights)[:, :BLOCK_FRAMES].astype(np.float32).reshape(-1)

    def response(self) -> Floats:
        """Power of the room in each bin, its notches filled from around, shape (BINS,): what the filter's errors are measured by."""
        return np.asarray(_around(_power(self._weights)).sum(axis=0))

    def echo_as_learnt(self) -> Floats:
        """What the last ``echo`` would have been by the room as it was learnt, shape (BLOCK_FRAMES,)."""
        now = self._spectra[self._at : self._at + PARTITIONS]
        bins = np.einsum("pk,pk->k", self._as_learnt, now)
        return np.asarray(np.fft.irfft(bins)[BLOCK_FRAMES:], np.float32)

    def return_to_learnt(self) -> None:
        """Forget what was made of the room since it was learnt."""
        self._weights[:] = self._as_learnt

    def scale(self, gain: float) -> None:
        """The loudspeaker was turned up or down."""
        self._as_learnt *= np.float32(gain)
        self._weights *= np.float32(gain)
        self._doubt *= np.float32(gain * gain)

    def doubt(self, share: float) -> None:
        """Take each coefficient for uncertain by at least *share* of its own power, and a tenth of that of all its partition.

        What was never sounded is not known to be nothing.
        """
        power = _power(self._weights)
        around = np.maximum(_around(power), ELSEWHERE * power.mean(axis=1, keepdims=True))
        self._doubt = np.maximum(self._doubt, share * around)

    def echo(self, sound: Floats) -> Floats:
        """What of our own sound is heard in the block whose reference is *sound*; both of shape (BLOCK_FRAMES,)."""
        self._sound[:BLOCK_FRAMES] = self._sound[BLOCK_FRAMES:]
        self._sound[BLOCK_FRAMES:] = sound
        spectrum = transformed(self._sound)
        self._at = (self._at - 1) % PARTITIONS  # written twice, so that the newest PARTITIONS always lie in one piece
        bins = np.empty(BINS, np.complex64)
        FORETOLD.now(spectrum, self._at, self._weights, self._spectra, self._conjugates, self._powers, bins)
        return np.asarray(np.fft.irfft(bins)[BLOCK_FRAMES:], np.float32)

    def learn(self, error: Floats, free: Floats, wander: float) -> None:
        """Adapt to what the last ``echo`` left.

        Parameters
        ----------
        error : float32 array, shape (BLOCK_FRAMES,)
        free : float32 array, shape (BINS,), 0 to 1
            How far each bin may be learnt from; 0 is frozen.
        wander : float
            How much of its own power a coefficient is taken to change in a block.
        """
        self._error[BLOCK_FRAMES:] = error
        spectrum = transformed(self._error)
        conjugates = self._conjugates[self._at : self._at + PARTITIONS]
        powers = self._powers[self._at : self._at + PARTITIONS]
        expected = np.einsum("pk,pk->k", self._doubt, powers)
        if not STEPPED.now(spectrum, free, expected, conjugates, self._doubt, self._near, self._step, self._moves):
            return
        self._moves *= spectrum
        TAUGHT.now(self._moves, powers, wander, self._step, self._weights, self._doubt)
        self._blocks += 1
        if self._blocks % 2 == 0:
            self._constrain()

    def _constrain(self) -> None:
        rows = (self._turn + np.arange(CONSTRAINED_AT_ONCE)) % PARTITIONS
        parts = np.fft.irfft(self._weights[rows])
        parts[:, BLOCK_FRAMES:] = 0.0
        self._weights[rows] = transformed(np.asarray(parts, np.float32))
        self._turn = (self._turn + CONSTRAINED_AT_ONCE) % PARTITIONS


def _foretold(
    spectrum: Complexes,
    at: int,
    weights: Complexes,
    spectra: Complexes,
    conjugates: Complexes,
    powers: Floats,
    out: Complexes,
) -> None:
    """Keep *spectrum* at row *at*, and PARTITIONS later; what the filter makes of it and those before into *out*."""
    for row in (at, at + PARTITIONS):
        spectra[row] = spectrum
        conjugates[row] = np.conj(spectrum)
        powers[row] = _power(spectrum)
    now = spectra[at : at + PARTITIONS]
    # in parts, since a product of complex numbers is rounded once or twice, as the processor likes
    out.real = (weights.real * now.real - weights.imag * now.imag).sum(axis=0)
    out.imag = (weights.real * now.imag + weights.imag * now.real).sum(axis=0)


def _stepped(
    spectrum: Complexes,
    free: Floats,
    expected: Floats,
    conjugates: Complexes,
    doubt: Floats,
    near: Floats,
    step: Floats,
    moves: Complexes,
) -> bool:
    """What else is heard into *near*, how far each coefficient goes into *step*, by the reference into *moves*; whether any may go."""
    power = _power(spectrum)
    near[:] = NEAR_KEPT * near + (1 - NEAR_KEPT) * power
    if not free.any():
        return False
    loudest = np.maximum(near, 0.5 * power)  # a singer who begins is heard at once
    np.multiply(doubt, free / (expected + 2.0 * loudest + TINY), out=step)
    np.multiply(step, conjugates, out=moves)
    return True


def _taught(moves: Complexes, powers: Floats, wander: float, step: Floats, weights: Complexes, doubt: Floats) -> None:
    """Each coefficient moved; its doubt falls by what was learnt and grows by what a room wanders: most of a block's time."""
    weights += moves
    fall = 0.5 * step
    fall *= powers
    doubt *= np.subtract(1.0, fall, out=fall)
    power_of = np.square(weights.real, out=fall)
    power_of += np.square(weights.imag)
    power_of *= wander
    doubt += power_of


FORETOLD = Step(_foretold, "audio.canceller.compiled", "foretold")
STEPPED = Step(_stepped, "audio.canceller.compiled", "stepped")
TAUGHT = Step(_taught, "audio.canceller.compiled", "taught")


def transformed(sound: Floats) -> Complexes:
    """Spectra along the last axis in single precision, which halves what every block costs."""
    return np.asarray(np.fft.rfft(sound), np.complex64)


def _power(spectrum: Complexes) -> Floats:
    power: Floats = spectrum.real**2 + spectrum.imag**2
    return power


def _around(power: Floats) -> Floats:
    """Mean over four bins to each side, shape (PARTITIONS, BINS): one notch of a room is no certainty."""
    sums = np.cumsum(np.pad(power, ((0, 0), (5, 4)), mode="edge"), axis=1)
    return np.asarray((sums[:, 9:] - sums[:, :-9]) / 9.0, np.float32)
