"""What could be reached in noise at all: an oracle that is told what no tracker can know, in the same window and on the same set.

    .venv/bin/python tests/bench/pitch/oracle.py [--set develop] [--conditions pink10 pink0] [--told note]

For every hop the oracle is told how strong each of the first TEETH harmonics of this very moment is without the noise, and the noise's
true spectrum. It does not know the pitch. Each pitch of the tracker's grid is given the likelihood of the noisy spectrum under those
harmonics with phases unknown, Rice against Rayleigh (Kay 1998, "Fundamentals of Statistical Signal Processing: Detection Theory",
section 7.6, from memory), in a window as long as the tracker's; then the same path, with the same lag, is laid over it, at whichever
of SHARES does best: neighbouring hops share their sound, so a whole likelihood a hop would be too sure of itself. ``alone`` is each
hop by itself. It is no proof, since a longer memory of a voice could do better, but whoever comes near it has nothing left in this
window.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2])]

import numpy as np  # noqa: E402
from conditions import sound_of  # noqa: E402
from scipy.ndimage import maximum_filter1d  # noqa: E402
from scipy.special import i0e  # noqa: E402
from sets import SETS, phrases  # noqa: E402
from sung import GRID_SECONDS  # noqa: E402
from voices import RATE_HZ as SUNG_RATE_HZ  # noqa: E402

from audio.block import Block  # noqa: E402
from audio.pitch._path import Path as Way  # noqa: E402
from audio.pitch._salience import GRID_CENTS, WINDOW_FRAMES  # noqa: E402
from audio.resample import Resampler  # noqa: E402
from audio.units import RATE_HZ  # noqa: E402

TEETH, FFT_FRAMES, TOP_HZ = 20, 16_384, 10_000.0
BIN_HZ = RATE_HZ / FFT_FRAMES
LOWEST_CENTS, HIGHEST_CENTS = 3590.0, 8500.0
SHARES = (0.05, 0.1, 0.2, 0.4)
WITHIN_CENTS = 50.0
WINDOW = np.hanning(WINDOW_FRAMES + 1)[:-1]
GRID = np.arange(LOWEST_CENTS, HIGHEST_CENTS, GRID_CENTS)
GRID_HZ = 440.0 * 2.0 ** ((GRID - 6900.0) / 1200.0)


def spectra(sound: np.ndarray, hops: int) -> np.ndarray:
    """Power in each hop's window, shape (hops, FFT_FRAMES / 2 + 1), of a sound at the set's rate."""
    resampler = Resampler("mic1")
    block = Block(sound.astype(np.float32)[:, None], ("mic1",), 0, SUNG_RATE_HZ)
    inside = np.concatenate([b.samples[:, 0] for b in resampler.feed(block) + resampler.flush()]).astype(float)
    padded = np.concatenate((np.zeros(WINDOW_FRAMES // 2), inside, np.zeros(2 * WINDOW_FRAMES)))
    first = np.round(np.arange(hops) * GRID_SECONDS * RATE_HZ).astype(int)
    return np.abs(np.fft.rfft(padded[first[:, None] + np.arange(WINDOW_FRAMES)] * WINDOW, FFT_FRAMES)) ** 2


def told(phrase, condition: str, of: str) -> tuple[np.ndarray, np.ndarray]:
    """Log-likelihood of each pitch, shape (hops, pitches), and the true pitch of the hops, in cents, nan where unvoiced."""
    mic = sound_of(phrase, condition).mic
    hops = len(phrase.truth_hz)
    noise = spectra(mic - phrase.sound, hops).mean(axis=0)
    noise = np.convolve(np.pad(noise, 20, "edge"), np.full(41, 1 / 41), "valid")
    voiced = np.flatnonzero(phrase.truth_hz > 0)
    noisy, pure = spectra(mic, hops)[voiced], spectra(phrase.sound, hops)[voiced]
    out = np.zeros((hops, len(GRID)), dtype=np.float32)
    out[voiced] = {"moment": of_moment, "note": of_note}[of](phrase, voiced, noisy, pure, noise)
    cents = np.full(hops, np.nan)
    cents[voiced] = 6900.0 + 1200.0 * np.log2(phrase.truth_hz[voiced] / 440.0)
    return out, cents


def of_moment(phrase, voiced: np.ndarray, noisy: np.ndarray, pure: np.ndarray, noise: np.ndarray) -> np.ndarray:
    """The likelihoods of voiced hops, each told the strength of each harmonic in its own window."""
    out = np.zeros((len(voiced), len(GRID)))
    for number in range(1, TEETH + 1):
        # a harmonic that the window hardly holds is as weak as it is there
        truth_bin = np.round(number * phrase.truth_hz[voiced] / BIN_HZ).astype(int)
        inside = number * phrase.truth_hz[voiced] < TOP_HZ
        power = np.where(inside, pure[np.arange(len(voiced)), np.minimum(truth_bin, pure.shape[1] - 1)], 0.0)
        at, reach = teeth(number, noisy.shape[1])
        out += np.where(reach, heard(noisy, power[:, None], noise, at), -power[:, None] / noise[at])
    return out


def of_note(phrase, voiced: np.ndarray, noisy: np.ndarray, pure: np.ndarray, noise: np.ndarray) -> np.ndarray:
    """The same, told the envelope of the spectrum of the note in its mean: the highest within half a harmonic to each side."""
    envelope = np.zeros_like(pure)
    seconds = voiced * GRID_SECONDS
    for note in phrase.notes:
        within = (seconds >= note.start_s) & (seconds < note.end_s)
        if within.any():
            width = int(np.median(phrase.truth_hz[voiced][within]) / BIN_HZ) | 1
            envelope[within] = maximum_filter1d(pure[within].mean(axis=0), width)
    out = np.zeros((len(voiced), len(GRID)))
    for number in range(1, TEETH + 1):
        at, reach = teeth(number, noisy.shape[1])
        out += np.where(reach, heard(noisy, envelope[:, at], noise, at), 0.0)
    return out


def teeth(number: int, bins: int) -> tuple[np.ndarray, np.ndarray]:
    """The bin of each pitch's harmonic of this number, and whether it is looked at."""
    return np.minimum(np.round(number * GRID_HZ / BIN_HZ).astype(int), bins - 1), number * GRID_HZ < TOP_HZ


def heard(noisy: np.ndarray, power: np.ndarray, noise: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Logarithm of Rice against Rayleigh of a line of so much power in these bins."""
    inner = 2.0 * np.sqrt(power * noisy[:, at]) / noise[at]
    return np.log(i0e(inner)) + inner - power / noise[at]


def right(cents: np.ndarray, truth: np.ndarray) -> float:
    """Share of voiced hops, in per cent, within WITHIN_CENTS."""
    voiced = np.isfinite(truth)
    return 100.0 * float(np.mean(np.abs(cents[voiced] - truth[voiced]) < WITHIN_CENTS))


def main() -> None:
    """Print a row a condition."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--set", choices=list(SETS), default="quick")
    options.add_argument("--conditions", nargs="*", default=["pink10", "pink0"])
    options.add_argument("--told", choices=("moment", "note"), default="moment")
    asked = options.parse_args()
    print(f"oracle, within {WITHIN_CENTS:g} cents   alone   " + "   ".join(f"path x{share:g}" for share in SHARES))
    for condition in asked.conditions:
        rows = []
        for phrase in phrases(asked.set):
            likely, truth = told(phrase, condition, asked.told)
            row = [right(GRID[likely.argmax(axis=1)], truth)]
            for share in SHARES:
                way = Way(len(GRID))
                states = np.concatenate((way.step((share * likely).astype(float)), way.finish()), axis=1)[0]
                row.append(right(GRID[states], truth))
            rows.append(row)
        print(f"{condition:24s}" + "  ".join(f"{value:7.1f}" for value in np.mean(rows, axis=0)), flush=True)


if __name__ == "__main__":
    main()
