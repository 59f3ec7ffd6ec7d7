"""Do the marked notes hold the slips? Danger spots foretold from the score against simulated singers who know nothing of the program.

    python tests/bench/singable/danger.py [--set develop|report] [--takes N]

``develop`` is made-up music of seeds under 1000; ``report`` the shipped exercises of three and four voices, every thirty-sixth chorale
of the music21 package, and made-up music of other seeds. Every inner line is sung beside all others, 200 takes a follower and line unless
said. Printed for each follower: the share of all slips on marked notes (a fifth of the notes), the same with as many marks at random
and with the weights shuffled among the notes of a line, and the most that any marks could hold, put on where that very singer slipped.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from random import Random

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from chorale_parallels import chorales, is_satb  # noqa: E402 - the path is made above
from made_up_music import made_up  # noqa: E402
from six_singers import FOLLOWER, LENDER, Company  # noqa: E402
from written_music import Piece, write_musicxml  # noqa: E402

from trainer.errors import ScoreError  # noqa: E402
from trainer.formats import read_path  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.score.model import Line, Score  # noqa: E402
from trainer.singable.danger import MARKED_SHARE, danger_spots  # noqa: E402

FOLLOWERS = (FOLLOWER, LENDER)


def main() -> int:
    """Always 0: what the figures must be is for the reader."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--set", dest="which", choices=("develop", "report"), default="develop")
    parser.add_argument("--takes", type=int, default=200, metavar="N")
    parser.add_argument("--pieces", type=int, default=40, metavar="N", help="how many made-up pieces")
    args = parser.parse_args()
    held = {(singer.kind, how): Fraction(0) for singer in FOLLOWERS for how in ("marked", "random", "shuffled", "most")}
    slips: Counter[str] = Counter()
    lines: Counter[str] = Counter()
    for name, piece, score in _pieces(args.which, args.pieces):
        for index in range(1, len(score.lines) - 1):
            chance = Random(f"{name} {index}")
            spots = danger_spots(score, index)
            voice = piece.voices[index]
            company = Company(tuple(other for other in piece.voices if other != voice))
            for singer in FOLLOWERS:
                often = Counter(
                    k for take in range(args.takes) for k in singer.sing(piece, voice, company, seed=take).slipped
                )
                if not often:
                    continue
                marks = max(1, len(spots) // MARKED_SHARE)
                shuffled = [spot.weight for spot in spots]
                chance.shuffle(shuffled)
                for how, chosen in (
                    ("marked", {spot.index for spot in spots if spot.marked}),
                    ("random", set(chance.sample(range(len(spots)), marks))),
                    ("shuffled", set(sorted(range(len(spots)), key=lambda k: -shuffled[k])[:marks])),
                    ("most", {k for k, _ in often.most_common(marks)}),
                ):
                    held[singer.kind, how] += sum(often[k] for k in chosen)
                slips[singer.kind] += sum(often.values())
                lines[singer.kind] += 1
    for singer in FOLLOWERS:
        total = slips[singer.kind] or 1
        told = ", ".join(
            f"{how} {float(100 * held[singer.kind, how] / total):.1f} %"
            for how in ("marked", "random", "shuffled", "most")
        )
        print(f"{singer.kind}: {slips[singer.kind]} slips in {lines[singer.kind]} lines; {told}")
    return 0


def _pieces(which: str, count: int) -> Iterator[tuple[str, Piece, Score]]:
    for seed in range(count) if which == "develop" else range(1000, 1000 + count):
        piece = made_up(np.random.default_rng(seed))
        yield f"made up {seed}", piece, _score_of(piece)
    if which == "report":
        for one in exercises():
            score = read_path(one.path)
            if len(score.lines) > 2:
                yield one.title, _piece_of(score), score
        for path in chorales()[::36]:
            try:
                score = read_path(path)
            except ScoreError:  # a whole orchestra
                continue
            if is_satb([line.name for line in score.lines]):
                yield path.stem, _piece_of(score), score


def _score_of(piece: Piece) -> Score:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        return read_path(write_musicxml(piece, Path(folder) / "x.musicxml"))


def _piece_of(score: Score) -> Piece:
    meter = score.meters[0][1]
    return Piece(
        score.title,
        tuple((name, _words(line)) for name, line in zip(score.voice_names(), score.lines, strict=True)),
        meter.beats,
        meter.unit,
    )


def _words(line: Line) -> str:
    words, at = [], Fraction(0)
    for note in line.notes:
        if note.onset_quarters > at:
            words.append(f"r:{note.onset_quarters - at}")
        words.append(f"{note.pitch}:{note.length_quarters}")
        at = note.end_quarters
    return " ".join(words)


if __name__ == "__main__":
    sys.exit(main())
