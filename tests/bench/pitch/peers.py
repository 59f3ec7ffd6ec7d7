"""Other pitch estimators beside ours. Each runs in a child process with another Python, which may have what the project never needs.

Set-up, once (about 2 GB; PEERS is any folder, named to ``run.py --peer-python`` as PEERS/bin/python)::

    python3.11 -m venv PEERS && PEERS/bin/pip install "setuptools<80" wheel cython numpy
    PEERS/bin/pip install torch==2.13.0 swift-f0 librosa praat-parselmouth torchfcpe torchcrepe pesto-pitch
    PEERS/bin/pip install --no-build-isolation pyworld pysptk aubio "setuptools<80"
    rm PEERS/lib/python3.11/site-packages/torchaudio/lib/*.so  # for another torch than the CPU one; not needed

To add one: a function of (float64 sound at 44.1 kHz) that gives (seconds, hertz; negative or 0 where unvoiced), and its row in ``PEERS``.
All search from 65 to 1100 Hz where they can be told to. Where a library gives its best guess for unvoiced frames, that is kept,
since raw pitch accuracy asks for it.
"""

from __future__ import annotations

import os
import sys
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

import numpy as np  # noqa: E402, threads are counted at its import

RATE_HZ = 44_100
LOWEST_HZ, HIGHEST_HZ = 65.0, 1100.0
HOP_S = 0.005


def _grid(count: int, hop_s: float = HOP_S):
    return np.arange(count) * hop_s


def _at(sound, rate_hz: int):
    import librosa

    return librosa.resample(sound, orig_sr=RATE_HZ, target_sr=rate_hz)


def librosa_yin(sound):
    """De Cheveigne and Kawahara 2002, frames of 1024 at 24 kHz."""
    import librosa

    f0 = librosa.yin(_at(sound, 24_000), fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=24_000, frame_length=1024, hop_length=120)
    return _grid(len(f0)), f0


def librosa_pyin(sound):
    """Mauch and Dixon 2014, frames of 1024 at 24 kHz."""
    import librosa

    f0, voiced, _ = librosa.pyin(
        _at(sound, 24_000), fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=24_000, frame_length=1024, hop_length=120, fill_na=None
    )
    return _grid(len(f0)), np.where(voiced, f0, -f0)


def praat(sound):
    """Boersma 1993, autocorrelation."""
    import parselmouth

    pitch = parselmouth.Sound(sound, RATE_HZ).to_pitch_ac(
        time_step=HOP_S, pitch_floor=LOWEST_HZ, pitch_ceiling=HIGHEST_HZ
    )
    return pitch.xs(), pitch.selected_array["frequency"]


@lru_cache(maxsize=1)
def _swift():
    from swift_f0 import SwiftF0

    return SwiftF0(threads=1)


def swift_f0(sound):
    """Nieradzik 2025, arXiv 2508.18440."""
    result = _swift().detect(sound.astype(np.float32), RATE_HZ, LOWEST_HZ, HIGHEST_HZ)
    hertz = np.asarray(result.pitch_hz, dtype=float)
    return np.asarray(result.timestamps, dtype=float), np.where(np.asarray(result.confidence) >= 0.5, hertz, -hertz)


def _torch():
    """Torch on one thread."""
    import torch

    torch.set_num_threads(1)
    return torch


@lru_cache(maxsize=1)
def _fcpe():
    _torch()
    from torchfcpe import spawn_bundled_infer_model

    return spawn_bundled_infer_model(device="cpu")


def torchfcpe(sound):
    """Luo and others 2025 (FCPE)."""
    model, torch = _fcpe(), _torch()
    low = _at(sound, 16_000)
    hops = len(low) // 160 + 1
    with torch.no_grad():
        f0 = model.infer(
            torch.from_numpy(low).float()[None, :, None],
            sr=16_000,
            decoder_mode="local_argmax",
            threshold=0.006,
            f0_min=LOWEST_HZ,
            f0_max=HIGHEST_HZ,
            interp_uv=False,
            output_interp_target_length=hops,
        )
    return _grid(hops, 0.01), f0.squeeze().numpy().astype(float)


def torchcrepe(sound):
    """Kim and others 2018, tiny model, Viterbi."""
    torch = _torch()
    import torchcrepe as crepe

    low = torch.from_numpy(_at(sound, 16_000)).float()[None]
    f0, periodicity = crepe.predict(
        low, 16_000, 160, LOWEST_HZ, HIGHEST_HZ, "tiny", batch_size=512, device="cpu", return_periodicity=True
    )
    hertz = f0[0].numpy().astype(float)
    return _grid(len(hertz), 0.01), np.where(periodicity[0].numpy() >= 0.21, hertz, -hertz)


def pesto(sound):
    """Riou and others 2023."""
    torch = _torch()
    import pesto as library

    seconds, f0, confidence, _ = library.predict(torch.from_numpy(sound).float(), RATE_HZ, step_size=10.0)
    hertz = f0.numpy().astype(float).ravel()
    return seconds.numpy().ravel() / 1000.0, np.where(confidence.numpy().ravel() >= 0.5, hertz, -hertz)


def pyworld(sound):
    """Morise and others 2009 and 2016: DIO and StoneMask."""
    import pyworld as world

    f0, seconds = world.dio(sound, RATE_HZ, f0_floor=LOWEST_HZ, f0_ceil=HIGHEST_HZ, frame_period=1000 * HOP_S)
    return seconds, world.stonemask(sound, f0, seconds, RATE_HZ)


def sptk_swipe(sound):
    """Camacho and Harris 2008."""
    import pysptk

    low = _at(sound, 24_000) * 32768.0
    f0 = pysptk.swipe(np.ascontiguousarray(low), 24_000, 120, min=LOWEST_HZ, max=HIGHEST_HZ, otype="f0")
    return _grid(len(f0)), np.asarray(f0, dtype=float)


def aubio_yinfft(sound):
    """Brossier 2006."""
    import aubio

    size, hop = 2048, 220
    detect = aubio.pitch("yinfft", size, hop, RATE_HZ)
    detect.set_unit("Hz")
    detect.set_silence(-90)
    samples = np.concatenate((sound, np.zeros(size))).astype(np.float32)
    hertz = np.array([detect(samples[at : at + hop])[0] for at in range(0, len(samples) - hop, hop)], dtype=float)
    seconds = (np.arange(len(hertz)) + 1) * hop / RATE_HZ - size / 2 / RATE_HZ
    keep = seconds >= 0
    return seconds[keep], np.where(hertz[keep] > HIGHEST_HZ, 0.0, hertz[keep])


@dataclass(frozen=True, slots=True)
class Peer:
    """One estimator: its distribution on PyPI, its licence, and for how long after a frame it listens; None: to the end."""

    estimate: Callable
    distribution: str
    licence: str
    look_ahead_s: float | None


PEERS = {
    "swift-f0": Peer(swift_f0, "swift-f0", "MIT", 0.176),
    "torchfcpe": Peer(torchfcpe, "torchfcpe", "MIT", None),
    "torchcrepe tiny": Peer(torchcrepe, "torchcrepe", "MIT", None),
    "pesto": Peer(pesto, "pesto-pitch", "LGPL-3", None),
    "librosa.pyin": Peer(librosa_pyin, "librosa", "ISC", None),
    "librosa.yin": Peer(librosa_yin, "librosa", "ISC", 0.023),
    "praat ac": Peer(praat, "praat-parselmouth", "GPL-3+", None),
    "pyworld dio": Peer(pyworld, "pyworld", "MIT", None),
    "sptk swipe": Peer(sptk_swipe, "pysptk", "MIT", 0.062),
    "aubio yinfft": Peer(aubio_yinfft, "aubio", "GPL-3", 0.023),
}


def _child(name: str, set_name: str, conditions: str, lines_path: str) -> None:
    """Estimate every sound of a set, and leave lines and CPU seconds in a .npz."""
    from sets import sounds

    out = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        estimate = PEERS[name].estimate
        for key, _, _, sound in sounds(set_name, conditions.split(",")):
            if not out:
                estimate(sound[: 2 * RATE_HZ])  # models load and code compiles before the clock starts
            began = time.process_time()
            seconds, hertz = estimate(sound)
            out[f"cpu {key}"] = np.array(time.process_time() - began)
            out[f"line {key}"] = np.stack((seconds, np.nan_to_num(hertz)))
    np.savez(lines_path, **out)


if __name__ == "__main__":
    _child(*sys.argv[1:])
