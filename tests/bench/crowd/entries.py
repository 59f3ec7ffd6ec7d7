"""Whether a section comes in together: how often it is said, and how often wrongly, for simulated sections of 3, 7 and 12.

    python tests/bench/crowd/entries.py [--seeds N] [--first SEED]

Each take has six notes of 0.8 to 2.4 s after rests of 0.6 to 1.5 s, of a line in the middle of a voice; all singers have one vowel and one
consonant or none, attacks of 10 to 120 ms, their own loudness, vibrato or none, and a room of RT60 0.2 to 0.8 s. The standard deviation of
the singers' entries about each entry's middle is exactly what the row says; a third of it is each singer's own habit.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from rooms import in_room  # noqa: E402 - the path is made above
from simulated_singer import Sound, Throat, sing  # noqa: E402
from slips import SungNote  # noqa: E402

from audio.entries import BEFORE_SECONDS, STEADY_TO_SECONDS, apart_seconds, entry_curve  # noqa: E402
from trainer.judge.crowd import RAGGED, TOGETHER, entries_of  # noqa: E402

RATE_HZ = 24_000
LINES = {
    "bass": (45, 47, 48, 50, 52, 43),
    "tenor": (54, 57, 59, 61, 52, 56),
    "alto": (62, 64, 66, 67, 60, 64),
    "soprano": (69, 71, 72, 74, 67, 71),
}
APART_MS = (15, 40, 80, 120, 180)
SINGERS = (3, 7, 12)


@dataclass(frozen=True, slots=True, eq=False)
class Entered:
    """A take: its sound, and of each note when it is written, how long it is and its pitch."""

    samples: Sound
    written: tuple[tuple[float, float, int], ...]


def section(seed: int, singers: int, apart_ms: int) -> Entered:
    """One take."""
    rng = np.random.default_rng([seed, singers, apart_ms])
    name = str(rng.choice(list(LINES)))
    rests, lengths = rng.choice([0.6, 0.9, 1.5], 6), rng.choice([0.8, 1.6, 2.4], 6)
    written, at = [], 0.2
    for rest, length, midi in zip(rests, lengths, LINES[name], strict=True):
        at += rest
        written.append((float(at), float(length), midi))
        at += length
    entries = rng.normal(0, 0.6, (singers, 1)) + rng.normal(0, 0.8, (singers, 6))
    entries -= entries.mean(axis=0)
    entries *= apart_ms / 1000 / np.sqrt(np.mean(entries**2))
    entries += rng.normal(0, 0.04, 6)
    offsets = rng.normal(rng.uniform(-25, 25), rng.uniform(5, 25), singers)
    vowel, consonant = str(rng.choice(list("aeo"))), str(rng.choice(["", "", "l", "m", "d", "t", "s"]))
    whole = np.zeros(int((at + 0.5) * RATE_HZ))
    for k in range(singers):
        sung = tuple(
            SungNote(
                i,
                start + entries[k, i],
                start + length + rng.normal(0, 0.06),
                midi + (offsets[k] + rng.normal(0, 4)) / 100,
            )
            for i, (start, length, midi) in enumerate(written)
        )
        throat = Throat(
            sex="men" if name in ("bass", "tenor") else "women",
            vowels=vowel,
            vibrato_cents=float(rng.choice([0, 15])),
            vibrato_hz=float(rng.uniform(5, 6.2)),
            legato=0.0,
            consonants=(consonant,),
        )
        take = sing(
            sung,
            seed=int(rng.integers(1 << 30)),
            seconds=at + 0.5,
            throat=throat,
            rate_hz=RATE_HZ,
            level_dbfs=-30 + float(rng.uniform(-3, 3)),
        )
        whole += take.samples * _attacks(sung, len(whole), float(rng.uniform(0.01, 0.12)))
    room = in_room(whole, RATE_HZ, seed=seed, rt60_s=float(rng.uniform(0.2, 0.8)), direct_to_reverb_db=3.0)
    return Entered(room, tuple(written))


def _attacks(sung: tuple[SungNote, ...], frames: int, seconds: float) -> Sound:
    """A gain that rises evenly from each note's start."""
    gain = np.ones(frames)
    ramp = np.linspace(0, 1, max(2, round(seconds * RATE_HZ)))
    for note in sung:
        start = round(note.start_s * RATE_HZ)
        gain[start : start + len(ramp)] = ramp[: frames - start]
    return gain


def curves_of(take: Entered) -> list[np.ndarray]:
    """As the program has them."""
    found = []
    for start, length, midi in take.written:
        end = start + min(length, STEADY_TO_SECONDS)
        samples = take.samples[round((start - BEFORE_SECONDS) * RATE_HZ) : round(end * RATE_HZ)]
        curve = entry_curve(samples, RATE_HZ, 440 * 2 ** ((midi - 69) / 12))
        if curve is not None:
            found.append(curve)
    return found


def main() -> int:
    """Always 0: the figures are for the reader."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=2, metavar="N", help="takes of each kind (2)")
    parser.add_argument("--first", type=int, default=0, metavar="SEED")
    args = parser.parse_args()
    for apart_ms in APART_MS:
        for singers in SINGERS:
            takes = [
                [apart_seconds(curve) for curve in curves_of(section(seed, singers, apart_ms))]
                for seed in range(args.first, args.first + args.seeds)
            ]
            words = [entries_of(widths).word for widths in takes]
            middles = sorted(round(1000 * float(np.median(widths))) for widths in takes)
            print(
                f"{apart_ms} ms, {singers} singers: {len(takes)} takes, together {words.count(TOGETHER)}, "
                f"ragged {words.count(RAGGED)}, nothing said {words.count(None)}; measured {middles[0]} to {middles[-1]} ms",
                flush=True,
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
