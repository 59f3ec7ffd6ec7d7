"""Do the marked notes hold the slips? Danger spots foretold from the score against simulated singers who know nothing of the program.

    python tests/bench/singable/danger.py [--set develop|report] [--takes N] [--pieces N] [--apart]

``develop`` is made-up music of seeds under 1000, the shipped exercises and every thirty-sixth chorale of the music21 package; ``report``
made-up music and newly composed exercises of seeds from 9000, and other chorales. Every inner line is sung beside all others. The slips
are counted as each singer's rule makes them, over many takes. Printed for each follower, a fifth of the notes of each line marked:

marked    the share of all slips on the notes marked from paper
fitted    the same with weights fitted to thirty takes of that follower on development lines, of which only held and failed bars are known
random    as many marks at random
shuffled  the weights shuffled among the notes of a line
one mark  the most that one set of marks for both followers can hold in the mean of the two, by somebody who knows their rules
own mark  the most that marks made for this follower alone can hold, by somebody who knows the rule and not the dice

Last the same two, fitted and own, where a fifth of all notes of the set is marked wherever they stand, and not of each line.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from random import Random

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from chorale_parallels import chorales, is_satb  # noqa: E402 - the path is made above
from made_up_music import made_up  # noqa: E402
from six_singers import FOLLOWER, LENDER, Company, Singer  # noqa: E402
from written_music import Piece, write_musicxml  # noqa: E402

from trainer.compose import Wish, WishError, compose  # noqa: E402
from trainer.errors import ScoreError  # noqa: E402
from trainer.formats import read_path  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.rules.piece import FREE  # noqa: E402
from trainer.rules.piece import Piece as Ruled  # noqa: E402
from trainer.score.model import Line, Score  # noqa: E402
from trainer.singable.by_bar import danger_points  # noqa: E402
from trainer.singable.danger import MARKED_SHARE, Spot, spots_of  # noqa: E402
from trainer.singable.part import Part  # noqa: E402
from trainer.singable.weights import SungBar, Weights, fitted  # noqa: E402

FOLLOWERS = (FOLLOWER, LENDER)
FRESH_FROM = 9000
FIT_LINES, FIT_TAKES = 10, 3


@dataclass(frozen=True, slots=True)
class Sung:
    """One line, and how often each follower slips at each of its notes, as a share of the takes."""

    kind: str
    part: Part
    spots: Sequence[Spot]
    slips: dict[str, np.ndarray]
    failed_bars: dict[str, list[Counter[int]]]

    @property
    def marks(self) -> int:
        return max(1, len(self.spots) // MARKED_SHARE)


def main() -> int:
    """Always 0: what the figures must be is for the reader."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--set", dest="which", choices=("develop", "report"), default="develop")
    parser.add_argument("--takes", type=int, default=60, metavar="N")
    parser.add_argument("--pieces", type=int, default=40, metavar="N", help="made-up pieces, and as many exercises")
    parser.add_argument("--apart", action="store_true", help="made-up music, exercises and chorales apart as well")
    args = parser.parse_args()
    learnt = [_sung(*one, args.takes) for one in _lines("develop", args.pieces)]
    sung = learnt if args.which == "develop" else [_sung(*one, args.takes) for one in _lines("report", args.pieces)]
    weights = {singer.kind: _fitted(singer, learnt) for singer in FOLLOWERS}
    kinds = ["all", *(sorted({one.kind for one in sung}) if args.apart else ())]
    for kind in kinds:
        _told(kind, [one for one in sung if kind in ("all", one.kind)], weights)
    return 0


def _told(kind: str, sung: list[Sung], weights: dict[str, Weights]) -> None:
    total = {one.kind: sum(float(line.slips[one.kind].sum()) for line in sung) for one in FOLLOWERS}
    notes = sum(len(line.spots) for line in sung)
    print(f"{kind}: {len(sung)} lines, {notes} notes, {sum(line.marks for line in sung)} marked")
    for singer in FOLLOWERS:
        held: dict[str, float] = defaultdict(float)
        for number, line in enumerate(sung):
            slips, count = line.slips[singer.kind], len(line.spots)
            chance = Random(f"{number} {singer.kind}")
            shuffled = [float(spot.weight) for spot in line.spots]
            chance.shuffle(shuffled)
            both = sum(line.slips[one.kind] / max(total[one.kind], 1e-9) for one in FOLLOWERS)
            own = spots_of(line.part, weights[singer.kind])
            for how, chosen in (
                ("marked", [spot.index for spot in line.spots if spot.marked]),
                ("fitted", [spot.index for spot in own if spot.marked]),
                ("random", chance.sample(range(count), line.marks)),
                ("shuffled", list(np.argsort([-x for x in shuffled], kind="stable")[: line.marks])),
                ("one mark", list(np.argsort(-both, kind="stable")[: line.marks])),
                ("own mark", list(np.argsort(-slips, kind="stable")[: line.marks])),
            ):
                held[how] += float(slips[chosen].sum())
        weight = np.concatenate(
            [[float(spot.weight) for spot in spots_of(line.part, weights[singer.kind])] for line in sung]
        )
        slipped = np.concatenate([line.slips[singer.kind] for line in sung])
        for how, order in (("of all, fitted", weight), ("own", slipped)):
            held[how] = float(slipped[np.argsort(-order, kind="stable")[: notes // MARKED_SHARE]].sum())
        share = ", ".join(f"{how} {100 * one / max(total[singer.kind], 1e-9):.1f} %" for how, one in held.items())
        print(f"  {singer.kind}, slips at {100 * total[singer.kind] / notes:.0f} notes of a hundred: {share}")


def _fitted(singer: Singer, learnt: list[Sung]) -> Weights:
    """What thirty takes of ten lines teach, of which only the held and failed bars are known."""
    chosen = Random(0).sample(learnt, min(FIT_LINES, len(learnt)))
    bars = [
        SungBar(points, FIT_TAKES - failed, failed)
        for line in chosen
        for bar, points in danger_points(line.part).items()
        for failed in [sum(bar in take for take in line.failed_bars[singer.kind][:FIT_TAKES])]
    ]
    return Weights(dangers=tuple(fitted(bars).items()), takes=FIT_LINES * FIT_TAKES)


def _sung(kind: str, piece: Piece, ruled: Ruled, index: int, takes: int) -> Sung:
    part = Part(ruled, index)
    voice = piece.voices[index]
    company = Company(tuple(other for other in piece.voices if other != voice))
    bars = [part.texture.place(tone.on).bar for tone in part.line]
    slips, failed = {}, {}
    for singer in FOLLOWERS:
        count = np.zeros(len(bars))
        failed[singer.kind] = []
        for take in range(takes):
            slipped = singer.rule(piece, voice, company, Random(f"{singer.kind} {take}"))
            count[list(slipped)] += 1
            failed[singer.kind].append(Counter(bars[k] for k in slipped))
        slips[singer.kind] = count / takes
    return Sung(kind, part, spots_of(part), slips, failed)


def _lines(which: str, count: int) -> Iterator[tuple[str, Piece, Ruled, int]]:
    for kind, piece, score in _pieces(which, count):
        ruled = Ruled(score, FREE)
        for index in range(1, len(score.lines) - 1):
            yield kind, piece, ruled, index


def _pieces(which: str, count: int) -> Iterator[tuple[str, Piece, Score]]:
    first = 0 if which == "develop" else FRESH_FROM
    for seed in range(first, first + count):
        piece = made_up(np.random.default_rng(seed))
        yield "made up", piece, _score_of(piece)
    if which == "develop":
        shipped = [one for one in exercises() if one.parts > 2]
        for one in shipped[:: max(1, len(shipped) // count)]:
            score = read_path(one.path)
            yield "exercise", _piece_of(score), score
    else:
        for score in _composed(first, count):
            yield "exercise", _piece_of(score), score
    for path in chorales()[0 if which == "develop" else 27 :: 36]:
        try:
            score = read_path(path)
        except ScoreError:  # a whole orchestra
            continue
        if is_satb([line.name for line in score.lines]):
            yield "chorale", _piece_of(score), score


def _composed(first: int, count: int) -> Iterator[Score]:
    """New exercises of three and four parts and every species."""
    for seed in range(first, first + count):
        chance = Random(seed)
        voices = ("soprano", "alto", "tenor", "bass") if seed % 2 else ("soprano", "alto", "bass")
        cantus = chance.choice(voices)
        line = chance.choice([voice for voice in voices if voice != cantus])
        try:
            yield compose(Wish(len(voices), str(1 + seed % 5), cantus, line, seed=seed)).score
        except WishError:
            continue


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
