"""Two clips of real solo singing, without anybody's annotation: how far we agree with three independent estimators.

The clips are fetched by ``tests/support/real_clips.py`` (vocadito, Bittner and others 2021, CC BY 4.0) and never kept here, nor are
the lines. A frame counts where at least two of the three peers are within 50 cents of each other; their median is the reference.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
from ours import track

JUDGES = ("swift-f0", "praat ac", "librosa.pyin")
CHILD = """
import sys, numpy as np
sys.path.insert(0, sys.argv[1])
import peers
seconds, hertz = peers.PEERS[sys.argv[2]].estimate(np.load(sys.argv[3]))
np.save(sys.argv[4], np.stack((seconds, np.nan_to_num(hertz))))
"""


def clip_table(key: str, python: str) -> None:
    """Print agreement within 50, 25 and 10 cents, for us and for each peer against the other two's reference."""
    import soundfile
    from real_clips import CLIPS, NotFetched, clip

    for name in CLIPS:
        try:
            sound, rate = soundfile.read(clip(name))
        except NotFetched as why:
            print(f"{name}: not here ({why})")
            continue
        assert rate == 44_100
        grid = np.arange(0.0, len(sound) / rate, 0.005)
        lines = {}
        for peer in JUDGES:
            lines[peer] = _on(grid, *_estimate(python, peer, sound))
        line, _ = track(key, sound)
        lines[key] = _on(grid, line.seconds, line.hertz)
        cents = {n: np.where(h > 0, 1200 * np.log2(np.maximum(h, 1) / 440), np.nan) for n, h in lines.items()}
        for who in (key, *JUDGES):
            others = np.array([cents[n] for n in JUDGES if n != who])
            count = np.isfinite(others).sum(axis=0)
            middle = np.where(count >= 2, np.nan_to_num(np.sort(others, axis=0)[(len(others) - 1) // 2]), np.nan)
            agreed = np.array([np.sum(np.abs(others[:, i] - middle[i]) < 50) >= 2 for i in range(len(grid))])
            off = np.abs(cents[who] - middle)[agreed]
            shares = " / ".join(f"{100 * np.mean(np.nan_to_num(off, nan=9999.0) < w):.1f}" for w in (50, 25, 10))
            said = np.nanmedian(off)
            print(
                f"{name} {who:13s} within 50/25/10 cents of agreed frames: {shares} %, median {said:.1f} c, {agreed.sum()} frames"
            )
    print()


def _on(grid, seconds, hertz) -> np.ndarray:
    """The nearest estimate to each place of the grid; 0 where unvoiced."""
    at = np.clip(np.searchsorted(seconds, grid), 1, len(seconds) - 1)
    at -= (grid - seconds[at - 1] < seconds[at] - grid).astype(int)
    return np.maximum(hertz[at], 0.0)


def _estimate(python: str, peer: str, sound: np.ndarray) -> np.ndarray:
    with tempfile.TemporaryDirectory() as folder:
        sound_path, line_path = Path(folder) / "sound.npy", Path(folder) / "line.npy"
        np.save(sound_path, sound)
        here = str(Path(__file__).resolve().parent)
        subprocess.run([python, "-W", "ignore", "-c", CHILD, here, peer, str(sound_path), str(line_path)], check=True)
        return np.load(line_path)
