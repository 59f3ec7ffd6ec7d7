"""The exact pitch of a hop, and how much of the sound it explains.

Around each hop's centre a whole number of periods of the rough pitch is taken (``_periods``), so that a Hann window, whose
transform is 0 at every other whole bin from the second on, lets no harmonic leak into another. Each harmonic's frequency
comes from the windowed transform and that of the window's derivative; the pitch is their weighted least-squares mean. On
a single tone this has 1.28 times the standard deviation of the Cramér-Rao bound for the window, on many harmonics, all trusted
alike as rooms repay, up to 2.4. Where the voice is clear and steady ``_steady`` replaces it, near the bound.

Two looks: a short one, since a long one at a wrong pitch of a glide finds the moment when that pitch was true; then one
as long as the voice needs. The windows are symmetric, so the estimate belongs to the centre.

Sources: frequency from the derivative window, Auger & Flandrin (1995), IEEE Trans. SP 43(5), eq. 33; bound, Christensen &
Jakobsson (2009), "Multi-Pitch Estimation", section 1.5 (both from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.compiled import Step
from audio.pitch._periods import MOST_HARMONICS, Rows, alike, cubic_frames, linear_frames, smooth, spectrum
from audio.pitch._steady import bends, shift_of

Floats = NDArray[np.float64]

CLEAR_STRENGTHS = np.array([2.0, 3.4, 8.0])  # of _salience
WINDOW_SECONDS = np.array([0.070, 0.050, 0.040, 0.034])  # below, between and above them
SOON_SECONDS = 0.050  # of what is told before there is more sound
LARGEST_SNR = 20.0  # of one harmonic: beyond it jitter, glides and rooms set the limit, not noise
CERTAIN_SNR = 15.0  # well below it a harmonic may be noise alone, and counts for little
LONE_SNR = 2.0  # and for next to nothing if what stands beside it is below this, too: noise is seldom strong twice
LONE_SNR_BESIDE_PURE = 150.0  # the same in a pure tone, where every other harmonic is its leak or lucky noise
MOST_BESIDE = 1.5  # that a strong neighbour can say for it, of itself
MODEL_SNR = 20.0  # and no estimate is surer than this many times its weights
LEAST_HARMONIC = 5e-9  # of the strongest: images of the interpolation are no harmonics
PURE_REST = 1e-4  # power of all other harmonics together, in a tone that is pure
NEARLY_PURE_REST = 1e-3
FIRST_TRUST = 1e4  # the first look lets a nearly pure tone's own harmonic count so much more than the rest
FARTHEST_CENTS = 300.0  # moved by the first look: above a tail a comb reads a low sine off as far as 250 cents away
FARTHEST_AGAIN_CENTS = 100.0  # and by the second
FIRST_SHARE = 0.6  # of the second look's length
FIRST_FRAMES_A_POINT = 3.2, 3.2
CLEAR_SHARE = 0.03  # of the power unexplained: with less the pitch of a steady voice is worth having exactly
LEAN = 0.5  # of the way from what a look says in a room to what stands out of the room's tail
DRY, WET = (
    0.02,
    0.04,
)  # what a room keeps for none and for all of that: voices in a dry one seem to keep 0.01, in a glide
APART_CENTS = 200.0  # two pitches so far apart are not one of them pulled by a tail
LARGEST_POLISH_CENTS = 3.0  # more is no polish: the noise of two dozen harmonics that a sine does not have
FRAMES_A_POINT = 2.4, 1.3  # below and above HIGH_HZ: a high voice's few harmonics reach up to where it folds
CENTS = 1200.0 / math.log(2.0)
HALF_FRAMES = 1020  # reach to each side: half of the longest window, at the lowest pitch that a look can move to


@lru_cache(maxsize=2)
def _hann2(points: int) -> Floats:
    """The squared Hann window, summing to 1."""
    squared = (0.5 + 0.5 * np.cos(2.0 * np.pi * (np.arange(points) - points // 2) / points)) ** 2
    weights: Floats = squared / squared.sum()
    return weights


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """Estimates of some hops, each field a float64 array of shape (hops,).

    Parameters
    ----------
    f0_hz : roughly the same, what the last look was cut for
    cents : pitch above C-1
    sigma_cents : standard deviation expected from the noise in this window alone
    power, residual : mean square of the sound, and of what the harmonics do not explain
    """

    f0_hz: Floats
    cents: Floats
    sigma_cents: Floats
    power: Floats
    residual: Floats


def window_seconds(strengths: Floats, soon: NDArray[np.bool_]) -> Floats:
    """Length of sound to look at, shape as given: a clear voice can be followed closely, a faint one must be averaged, if there is time."""
    seconds: Floats = WINDOW_SECONDS.take(CLEAR_STRENGTHS.searchsorted(strengths))
    return np.where(soon, np.minimum(seconds, SOON_SECONDS), seconds)


def refine(sound: Floats, centres: NDArray[np.int64], cents: Floats, window_seconds: Floats, keeps: Floats) -> Refined:
    """Pitches near the rough ones.

    Parameters
    ----------
    sound : float64 array
    centres : int64 array, shape (hops,), indices into ``sound`` at least ``HALF_FRAMES`` + 2 from its ends
    cents : float64 array, shape (hops,), within about 50 cents of the truth
    window_seconds : float64 array, shape (hops,); the next whole number of periods in PERIODS is taken
    keeps : float64 array, shape (hops,); the share of earlier sound that the room keeps, see ``_tail``
    """
    f0_hz = _hertz(cents)
    moved = np.empty(len(cents))
    for rows, periods, points in alike(f0_hz, window_seconds, FIRST_SHARE, FIRST_FRAMES_A_POINT):
        frames = np.empty((len(rows), points))
        CUT.now(sound, centres, f0_hz, rows, periods, frames)
        MOVED.now(spectrum(frames), rows, periods, FIRST_TRUST, FARTHEST_CENTS, moved)
    f0_hz *= np.exp2(moved)
    out = Refined(f0_hz, 6900.0 + 1200.0 * np.log2(f0_hz / 440.0), *np.empty((3, len(cents))))
    for rows, periods, points in alike(f0_hz, window_seconds, 1.0, FRAMES_A_POINT):
        frames = np.empty((len(rows), points))
        LOOK.now(sound, centres, f0_hz, rows, periods, _hann2(points), frames, out.power)
        clear = np.empty(len(rows), dtype=np.int64)
        bins = spectrum(frames)
        count = LOOKED.now(
            bins, rows, periods, out.power, cents, keeps, out.cents, out.sigma_cents, out.residual, clear
        )
        if count:
            # cut anew, since a frame a few cents off lets its harmonics leak
            clear, frames = clear[:count], np.empty((count, points))
            POLISH_CUT.now(sound, centres, _hertz(out.cents), clear, periods, frames)
            POLISHED.now(spectrum(frames.reshape(count * periods, -1)), clear, *bends(periods), out.cents)
    return out


def _hertz(cents: Floats) -> Floats:
    hertz: Floats = 440.0 * np.exp2((cents - 6900.0) / 1200.0)
    return hertz


def _cut(sound: Floats, centres: Rows, f0_hz: Floats, rows: Rows, periods: int, frames: Floats) -> None:
    frames[:] = linear_frames(sound, centres[rows], f0_hz[rows], periods, frames.shape[1])


def _moved(bins: Floats, rows: Rows, periods: int, trust: float, farthest: float, moved: Floats) -> None:
    """Octaves by which the pitch is above the rough one."""
    moved[rows] = np.minimum(np.maximum(_shift(bins, periods, trust)[0], -farthest), farthest) / 1200.0


def _look(
    sound: Floats,
    centres: Rows,
    f0_hz: Floats,
    rows: Rows,
    periods: int,
    hann2: Floats,
    frames: Floats,
    power: Floats,
) -> None:
    """The frames of the second look, their mean taken off, and their power."""
    cut = cubic_frames(sound, centres[rows], f0_hz[rows], periods, frames.shape[1])
    frames[:] = cut - (cut * hann2).sum(axis=1)[:, None]
    power[rows] = (frames**2 * hann2).sum(axis=1)


def _looked(
    bins: Floats,
    rows: Rows,
    periods: int,
    power: Floats,
    rough: Floats,
    keeps: Floats,
    cents: Floats,
    sigma_cents: Floats,
    residual: Floats,
    clear: Rows,
) -> int:
    """What the second look says, and how many hops are so clear that it is worth having exactly; their rows are in ``clear``.

    In a room all others lean to the rough pitch: that has the room's part taken out of it, and what is looked at here has not.
    """
    moved, sigma_cents[rows] = _shift(bins, periods, 0.0)
    cents[rows] += np.minimum(np.maximum(moved, -FARTHEST_AGAIN_CENTS), FARTHEST_AGAIN_CENTS)
    residual[rows] = _residual(bins, power[rows], periods)
    is_clear = residual[rows] < CLEAR_SHARE * power[rows]
    wet = np.minimum(np.maximum((keeps[rows] - DRY) / (WET - DRY), 0.0), 1.0)
    apart = rough[rows] - cents[rows]
    near = np.maximum(1.0 - (apart / APART_CENTS) ** 2, 0.0)
    cents[rows] += np.where(is_clear, 0.0, LEAN * wet * near * apart)
    found = rows[is_clear]
    clear[: len(found)] = found
    return len(found)


def _polish_cut(sound: Floats, centres: Rows, f0_hz: Floats, rows: Rows, periods: int, frames: Floats) -> None:
    frames[:] = cubic_frames(sound, centres[rows], f0_hz[rows], periods, frames.shape[1])


def _polished(bins: Floats, rows: Rows, shapes: Floats, spread: float, limits: Floats, cents: Floats) -> None:
    """Moves the cents of steady hops to the exact ones."""
    exact, steady = shift_of(bins.reshape(len(rows), shapes.shape[1], -1), shapes, spread, limits)
    cents[rows] += np.where(steady & (np.abs(exact) <= LARGEST_POLISH_CENTS), exact, 0.0)


def _shift(bins: Floats, periods: int, trust: float) -> tuple[Floats, Floats]:
    """Cents by which the pitch is above the one that the window was cut for, and its standard deviation.

    A harmonic counts with its number squared, so two dozen of them that are only noise or another one's leak could outvote
    the one harmonic of a sine: what a harmonic must stand out of grows with how pure the tone is. ``trust`` is by how much
    the strongest harmonic of a nearly pure tone may count beyond LARGEST_SNR.
    """
    points = bins.shape[1] - 2
    harmonics = min(MOST_HARMONICS, points // (2 * periods) - 1)
    bins = bins.reshape(len(bins), -1, 2)[:, : periods * harmonics + periods // 2 + 2]
    # phase counted from the centre would turn the sign of every other bin
    windowed = 0.5 * bins[:, 1:-1] - 0.25 * (bins[:, :-2] + bins[:, 2:])  # bin 1 on
    square = windowed**2
    power = square[:, :, 0] + square[:, :, 1] + 1e-30
    at = slice(periods - 1, periods * harmonics, periods)
    strength = power[:, at]
    product = (bins[:, 2:][:, at] - bins[:, :-2][:, at]) * windowed[:, at]
    off_bins = np.minimum(np.maximum(-0.25 * (product[:, :, 0] + product[:, :, 1]) / strength, -1.5), 1.5)
    half = periods // 2  # from one harmonic to where the window lets least of it and the next through
    noise = 0.5 * (
        power[:, periods - 1 - half : periods * harmonics - half : periods] + power[:, periods - 1 + half :: periods]
    )
    strongest = np.maximum.reduce(strength, axis=1, keepdims=True)
    rest = (np.add.reduce(strength, axis=1, keepdims=True) - strongest) / strongest
    snr = strength / (smooth(noise) + LEAST_HARMONIC * strongest)
    beside = snr[:, :-1].copy()
    np.maximum(beside[:, :-1], snr[:, 2:], out=beside[:, :-1])
    evidence = snr**2
    evidence[:, 1:] = snr[:, 1:] * np.minimum(beside, MOST_BESIDE * snr[:, 1:])
    lone = LONE_SNR**2 + (LONE_SNR_BESIDE_PURE * PURE_REST / (PURE_REST + rest)) ** 2
    pure = (NEARLY_PURE_REST / (NEARLY_PURE_REST + rest)) ** 2
    largest = LARGEST_SNR * (1.0 + trust * pure**2)
    weight = snr * (snr / (snr + CERTAIN_SNR)) ** 2 / (1.0 + snr / largest) * evidence / (evidence + lone)
    number = np.arange(1, harmonics + 1)
    numbered = weight * number
    pull = np.add.reduce(numbered * off_bins, axis=1)
    hold = np.add.reduce(weight * number**2, axis=1)
    to_cents = CENTS / periods
    # Noise moves off_bins of a Hann window by sqrt(1 / (3 snr)). Taking the weights for the snr allows for what is no noise
    # (a room, jitter) and covers 94 to 98 % of errors; for a voice of one harmonic twice the noise itself is enough.
    noise_alone = np.add.reduce(numbered**2 / snr, axis=1) / hold**2
    variance = np.minimum(1.0 / hold, 4.0 * (noise_alone + 1.0 / (MODEL_SNR * hold)))
    return pull / hold * to_cents, to_cents * np.sqrt(variance / 3.0)


def _residual(bins: Floats, power: Floats, periods: int) -> Floats:
    """Mean square that no harmonic explains, freed of the share of noise that harmonics explain by chance."""
    points = bins.shape[1] - 2
    b = bins.reshape(len(bins), -1, 2) / points
    under_square = 0.375 * b[:, 2:-2] - 0.25 * (b[:, 1:-3] + b[:, 3:-1]) + 0.0625 * (b[:, :-4] + b[:, 4:])
    teeth = under_square[:, periods - 2 :: periods] ** 2
    explained = 2.0 * np.add.reduce(teeth[:, :, 0] + teeth[:, :, 1], axis=1) / 0.375**2
    chance = 2.0 * teeth.shape[1] * (35.0 / 128.0) / (points * 0.375**2)
    residual: Floats = np.minimum(np.maximum((power - explained) / (1.0 - chance), 0.0), power)
    return residual


CUT = Step(_cut, "audio.pitch.compiled", "cut")
MOVED = Step(_moved, "audio.pitch.compiled", "moved")
LOOK = Step(_look, "audio.pitch.compiled", "look")
LOOKED = Step(_looked, "audio.pitch.compiled", "looked")
POLISH_CUT = Step(_polish_cut, "audio.pitch.compiled", "polish_cut")
POLISHED = Step(_polished, "audio.pitch.compiled", "polished")
