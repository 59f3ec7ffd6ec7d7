"""How the lines of four-part chorales weigh, so that the grades mean something: mean points, and the share of each grade, voice by voice.

    python tests/bench/singable/spread.py [--every N] [--kinds]

``--kinds`` adds which kinds of difficulty weigh how much of it. Read by our own readers from the music21 package, repeats as sung.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from fractions import Fraction
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from chorale_parallels import chorales, is_satb  # noqa: E402 - the path is made above

from trainer.errors import ScoreError  # noqa: E402
from trainer.formats import read_path  # noqa: E402
from trainer.rules.piece import FREE, Piece  # noqa: E402
from trainer.singable.part import Part  # noqa: E402
from trainer.singable.weigh import Weighed, weigh_part  # noqa: E402

VOICES = ("soprano", "alto", "tenor", "bass")


def main() -> int:
    """1 when no chorale was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth file")
    parser.add_argument("--kinds", action="store_true", help="points by kind of difficulty")
    args = parser.parse_args()
    found: dict[str, list[Weighed]] = {voice: [] for voice in VOICES}
    spent = 0.0
    for path in chorales()[:: args.every]:
        try:
            score = read_path(path)
        except ScoreError:  # a whole orchestra
            continue
        if not is_satb([line.name for line in score.lines]):
            continue
        began = time.process_time()
        piece = Piece(score, FREE)
        for line, voice in enumerate(VOICES):
            found[voice].append(weigh_part(Part(piece, line)))
        spent += time.process_time() - began
    count = len(found["soprano"])
    if not count:
        return 1
    print(f"{count} chorales, {1000 * spent / count:.1f} ms of the processor for the four lines of one")
    print(f"{'':<9}{'p10':>6}{'median':>8}{'p90':>6}{'bits':>6}   easy  medium  hard   notes with a remark")
    for voice, lines in found.items():
        means = sorted(float(one.mean_points) for one in lines)
        bits = sorted(float(one.mean_bits) for one in lines)[count // 2]
        grades = Counter(one.grade for one in lines)
        notes = [note for one in lines for note in one.notes]
        told = sum(any(reason.says for reason in note.reasons) for note in notes)
        row = "".join(f"{100 * grades[grade] / count:>7.0f}" for grade in ("easy", "medium", "hard"))
        spread = f"{means[count // 10]:>6.2f}{means[count // 2]:>8.2f}{means[9 * count // 10]:>6.2f}"
        print(f"{voice:<9}{spread}{bits:>6.2f}{row} %{100 * told / len(notes):>16.0f} %")
        if args.kinds:
            _kinds(lines, len(notes))
    return 0


def _kinds(lines: list[Weighed], notes: int) -> None:
    points: Counter[str] = Counter()
    often: Counter[str] = Counter()
    for one in lines:
        for note in one.notes:
            for reason in note.reasons:
                points[reason.kind] += int(100 * Fraction(reason.points))
                often[reason.kind] += 1
    for kind, weight in points.most_common():
        print(
            f"    {kind:<22}{weight / 100 / notes:>7.3f} points a note, at {100 * often[kind] / notes:>5.1f} % of the notes"
        )


if __name__ == "__main__":
    sys.exit(main())
