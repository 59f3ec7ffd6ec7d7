"""A section at one microphone against what is true of it: centre, spread, octaves, vibrato, two lines, for 3 to 12 simulated singers.

    python tests/bench/crowd/run.py [--seeds N] [--first SEED]

Each take has six long notes of a line in the middle of a voice. Printed: errors of a take's figures in cents, root mean square and worst.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from fractions import Fraction
from pathlib import Path
from statistics import median

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import soundfile  # noqa: E402 - the path is made above
from crowd_singers import SungTogether, together  # noqa: E402
from slips import as_written, length_s  # noqa: E402
from written_music import Piece, even, write_musicxml  # noqa: E402

from trainer.formats import read_path  # noqa: E402
from trainer.judge.crowd import CrowdTake  # noqa: E402
from trainer.judge.divided import DividedTake  # noqa: E402
from trainer.practice.settings import Settings  # noqa: E402
from trainer.takes.crowd import crowd_in, divided_in  # noqa: E402

LINES = {
    "bass": even("A2 B2 C3 D3 B2 A2", 3),
    "tenor": even("F#3 A3 B3 C#4 B3 G#3", 3),
    "alto": even("D4 E4 F#4 G4 E4 D4", 3),
    "soprano": even("A4 B4 C5 D5 B4 A4", 3),
}

DIVIDED = {
    "bass": ("A2 B2 C3 D3 B2 A2", "F#2 G2 A2 A2 F#2 E2"),
    "tenor": ("F#3 A3 B3 C#4 B3 G#3", "D3 E3 F#3 G#3 E3 C#3"),
    "alto": ("D4 E4 F#4 G4 E4 D4", "B3 B3 C#4 C4 A3 B3"),
    "soprano": ("A4 B4 C5 D5 B4 A4", "F4 E4 A4 G4 G#4 C4"),
}
"""Upper and lower line of each section: thirds, fourths, fifths and sixths apart."""


def main() -> int:
    """Always 0: the figures are for the reader."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=2, metavar="N", help="takes of each kind and line (2)")
    parser.add_argument(
        "--spreads", type=int, nargs="*", default=[5, 15, 25, 40], metavar="CENTS", help="which (5 15 25 40)"
    )
    parser.add_argument("--first", type=int, default=0, metavar="SEED")
    args = parser.parse_args()
    seeds = range(args.first, args.first + args.seeds)
    for spread in args.spreads:
        rows = []
        for singers in (3, 7, 12):
            for name in LINES:
                for seed in seeds:
                    sung, take = _take(name, singers=singers, spread_cents=spread, seed=seed + 100 * singers)
                    rows.append((sung, take))
        _print(f"spread {spread}", rows)
    rows = [_take(name, singers=6, spread_cents=12, vibrato_cents=35, seed=seed) for name in LINES for seed in seeds]
    print(f"vibrato of 35 cents: seen in {sum(take.vibrato for _, take in rows)} of {len(rows)} takes")
    rows = [
        _take(name, singers=6, spread_cents=12, an_octave_up=3, seed=seed)
        for name in ("bass", "tenor")
        for seed in seeds
    ]
    found = [take.octave_split for _, take in rows]
    print(
        f"three of six an octave up: split {found.count(True)}, not clear {found.count(None)}, one octave {found.count(False)}"
    )
    _print_divided(seeds)
    return 0


def _print_divided(seeds: range) -> None:
    """Sections in two lines, both sung and one of them missing."""
    both, upper_only = [], []
    for above, below in ((1, 2), (2, 1), (3, 4), (6, 6), (2, 10)):
        for name in DIVIDED:
            for seed in seeds:
                both.append(_divided(name, above, below, seed))
                upper_only.append(_divided(name, above, 0, seed))
    halves = [pair for truth, take in both for pair in zip(truth, (take.upper, take.lower), strict=True)]
    errors = [half.centre_cents - centre for centre, half in halves if half.centre_cents is not None]
    heard = sum(half.heard for _, half in halves)
    told = sum(half.told for _, half in halves)
    print(
        f"two lines: {len(both)} takes; heard {heard} of {told} notes; "
        f"centre of a line {_rms(errors):.1f}, worst {max(map(abs, errors)):.1f}; "
        f"lines called missing {sum(half.sign == 'missing' for _, half in halves)}"
    )
    gone = [take.lower for _, take in upper_only]
    print(
        f"upper line only: {len(gone)} takes; lower called missing {sum(half.sign == 'missing' for half in gone)}; "
        f"its notes heard {sum(half.heard for half in gone)} of {sum(half.told for half in gone)}"
    )


def _divided(name: str, above: int, below: int, seed: int) -> tuple[tuple[float, float], DividedTake]:
    piece = Piece(
        "In two",
        tuple((half, even(words, 3)) for half, words in zip(("one", "two"), DIVIDED[name], strict=True)),
        beats=3,
    )
    whole, truth = [], []
    rng = np.random.default_rng(seed)
    for half, singers in (("one", above), ("two", below)):
        centre = float(rng.uniform(-25, 25))
        written = as_written(piece, half)
        sung = together(
            written,
            seconds=length_s(written),
            singers=max(1, singers),
            spread_cents=15,
            centre_cents=centre,
            seed=seed + 100 * singers + len(truth),
        )
        whole.append(sung.samples * min(1, singers))
        truth.append(median(sung.centres.values()))
    with tempfile.TemporaryDirectory() as folder:
        score = read_path(write_musicxml(piece, Path(folder) / "x.musicxml"))
        place = Path(folder) / "x.wav"
        soundfile.write(place, np.clip(sum(whole), -1, 1), 24_000)
        _, take = divided_in(score, 0, 1, place, settings=Settings(starts_at_s=Fraction(1, 2)))
    return (truth[0], truth[1]), take


def _take(name: str, **how: object) -> tuple[SungTogether, CrowdTake]:
    piece = Piece("A bench", ((name, LINES[name]),), beats=3)
    written = as_written(piece, name)
    sung = together(written, seconds=length_s(written), centre_cents=-10.0, **how)  # type: ignore[arg-type]
    with tempfile.TemporaryDirectory() as folder:
        score = read_path(write_musicxml(piece, Path(folder) / "x.musicxml"))
        place = Path(folder) / "x.wav"
        soundfile.write(place, np.clip(sung.samples, -1, 1), sung.rate_hz)
        return sung, crowd_in(score, 0, place, settings=Settings(starts_at_s=Fraction(1, 2)))


def _print(name: str, rows: list[tuple[SungTogether, CrowdTake]]) -> None:
    centres = [
        take.centre_cents - median(sung.centres.values()) for sung, take in rows if take.centre_cents is not None
    ]
    spreads = [
        take.spread_cents - median(sung.spreads.values()) for sung, take in rows if take.spread_cents is not None
    ]
    split = sum(take.octave_split is True for _, take in rows)
    print(
        f"{name}: {len(rows)} takes; centre {_rms(centres):.1f}, worst {max(map(abs, centres)):.1f}; "
        f"spread {_rms(spreads):.1f}, mean {np.mean(spreads):+.1f}, worst {max(map(abs, spreads)):.1f}; "
        f"no spread {len(rows) - len(spreads)}; called split {split}, not clear {sum(t.octave_split is None for _, t in rows)}"
    )


def _rms(values: list[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


if __name__ == "__main__":
    sys.exit(main())
