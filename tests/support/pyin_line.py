"""librosa's probabilistic YIN in a process of its own: ``python pyin_line.py FILE...`` prints the f0 of each in hertz, 0 where unvoiced,
as JSON.

One row a hundredth of a second. Apart from the tests, so that what it compiles goes into a folder of its own: two workers of pytest that
wrote into one folder at the same time crashed.
"""

from __future__ import annotations

import json
import sys

HOP = 441
FRAME = 2048


def main(paths: list[str]) -> None:
    """Print the lines of mono files."""
    import librosa
    import numpy as np
    import soundfile

    told = []
    for path in paths:
        sound, rate_hz = soundfile.read(path)
        hz, voiced, _ = librosa.pyin(sound, fmin=65, fmax=700, sr=rate_hz, frame_length=FRAME, hop_length=HOP)
        told.append({"hop_s": HOP / rate_hz, "f0_hz": np.where(voiced, np.nan_to_num(hz), 0.0).tolist()})
    json.dump(told, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1:])
