"""Is a set hard enough? Three estimators that everybody has must not do better on it than on the set our targets were written for.

``ROWS`` is their raw pitch accuracy within 50 cents there: four registers, 16.9 s each, F0 from 73 to 1110 Hz, the same kinds of noise
and room; measured by us, that set is not kept. An easier set proves nothing.
Their rate is not known. At 22.05 kHz instead of 24 (yin's look-ahead of 23 ms speaks for it) pyin differs by at most 0.9 points, and yin
is up to 3 lower in noise (development seed 8600, 5 s): nothing that makes a set easy or hard. With two seeds chance weighs more.
"""

from __future__ import annotations

import numpy as np

MARGIN = 2.0
ORDER = ("clean", "pink20", "pink10", "pink0", "room0.4", "room1.2")
ROWS = {
    "librosa.pyin": (98.7, 98.0, 76.2, 33.4, 91.1, 80.8),
    "librosa.yin": (98.3, 96.7, 82.6, 48.2, 90.6, 78.7),
    "praat ac": (93.4, 97.7, 81.0, 38.0, 86.9, 75.1),
}


def hardness_table(means: dict[tuple[str, str], dict[str, float]]) -> None:
    """Print each row beside this run's, condition by condition and in the mean; nothing for those not run."""
    for name, row in ROWS.items():
        here = [means[name, c]["RPA50"] for c in ORDER if (name, c) in means]
        if len(here) < len(ORDER):
            continue
        pairs = [*zip(ORDER, here, row, strict=True), ("mean", float(np.mean(here)), float(np.mean(row)))]
        easy = [what for what, now, then in pairs if now > then + MARGIN]
        print(
            f"hard enough? {name:13s}"
            + "  ".join(f"{what} {now:.1f} ({then:.1f})" for what, now, then in pairs)
            + (f"   TOO EASY: {', '.join(easy)}" if easy else "   yes")
        )
    print()
