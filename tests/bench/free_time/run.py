"""How well a recording made without our click is laid on its score.

    .venv/bin/python tests/bench/free_time/run.py [--takes 40] [--seed 70000] [--short]

Singers of the tests (``simulated_singer``) sing the shipped drills with rubato of 20 % either way, one note left out, one bar begun
again, and the planted faults of ``planted_takes``. Printed: how far the onsets found lie from the vowels sung (notes of another
pitch than the one sung before: of one sung twice, which is a breath in one note as well, nobody knows where it began), and how many
notes have the sign that the same singer's take to the click has; late and early are not told in free time, so such notes count as
held. The last line is a wrong piece: how many are said not to fit, and how many right ones are.
"""

from __future__ import annotations

import argparse
import itertools
import random
import sys
import tempfile
import time
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import numpy as np  # noqa: E402
import soundfile  # noqa: E402
from planted_takes import STARTS_AT_S, Planted, plan_take  # noqa: E402
from simulated_singer import sing  # noqa: E402
from slips import SungNote  # noqa: E402

from trainer.formats import read_path  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.practice.settings import Settings  # noqa: E402
from trainer.score.model import Score  # noqa: E402
from trainer.takes.judging import judge  # noqa: E402
from trainer.takes.recording import heard_in  # noqa: E402

RUBATO = 0.20
STEP_S = 0.01
BACK_S = 0.3
"""What it takes to notice and begin again."""


def with_rubato(sung: list[SungNote], rng: random.Random) -> list[SungNote]:
    """The notes on a time axis that pushes and drags in two slow waves."""
    at_s = np.arange(0, sung[-1].end_s + 1, STEP_S)
    waves = [np.sin(2 * np.pi * at_s / rng.uniform(*period) + rng.uniform(0, 6.28)) for period in ((5, 9), (11, 20))]
    speed = (1 + RUBATO) ** ((waves[0] + waves[1]) / 2)
    warped = np.concatenate([[0.0], np.cumsum(1 / speed)[:-1]]) * STEP_S
    return [
        replace(n, start_s=float(np.interp(n.start_s, at_s, warped)), end_s=float(np.interp(n.end_s, at_s, warped)))
        for n in sung
    ]


def moved(notes: list[SungNote], by_s: float) -> list[SungNote]:
    return [replace(n, start_s=n.start_s + by_s, end_s=n.end_s + by_s) for n in notes]


def slipped(
    sung: list[SungNote], score: Score, line: int, kept: set[int], rng: random.Random
) -> tuple[list[SungNote], int]:
    """One note left out and, at least two bars away, one bar begun again; the index left out."""
    bars, notes = score.bars(), score.lines[line].notes
    bar = {n.index: bars.place(notes[n.index].onset_quarters).bar for n in sung}
    pitches = [n.pitch for n in notes]  # of two notes of one pitch nobody can say which was left out
    inner = [
        k
        for k in range(2, len(sung) - 2)
        if sung[k].index not in kept
        and pitches[sung[k].index] not in (pitches[sung[k].index - 1], pitches[sung[k].index + 1])
    ]
    if not inner:
        return sung, -1
    k = rng.choice(inner)
    out, gone_s = sung[k].index, sung[k + 1].start_s - sung[k].start_s
    sung = sung[:k] + moved(sung[k + 1 :], -gone_s)
    far = sorted({b for b in bar.values() if abs(b - bar[out]) > 1 and b > 1})
    again = rng.choice(far)
    first = next(k for k, n in enumerate(sung) if bar[n.index] >= again)
    last = max(k for k, n in enumerate(sung) if bar[n.index] <= again)
    end_s = sung[last + 1].start_s if last + 1 < len(sung) else sung[last].end_s
    back_s = end_s - sung[first].start_s + BACK_S
    return sung[: last + 1] + moved(sung[first:], back_s), out


def heard(planted: Planted, sung: list[SungNote], folder: Path) -> list:
    take = sing(
        tuple(sung),
        seed=planted.seed,
        seconds=sung[-1].end_s + 1.2,
        throat=planted.throat,
        level_dbfs=planted.level_dbfs,
    )
    path = folder / "take.wav"
    soundfile.write(path, take.samples.astype("float32"), take.rate_hz, subtype="FLOAT")
    return list(heard_in(path))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=40)
    parser.add_argument("--seed", type=int, default=70_000)
    parser.add_argument("--short", action="store_true", help="three takes")
    args = parser.parse_args()
    scores = {score.title: score for score in (read_path(e.path) for e in exercises()) if len(score.lines) == 4}
    errors_ms: list[float] = []
    same = notes = right_fits = wrong_told = done = 0
    spent_s = sung_s = 0.0
    seed = args.seed
    with tempfile.TemporaryDirectory() as place:
        while done < (3 if args.short else args.takes):
            planted, seed = plan_take(seed), seed + 1
            score = scores.get(planted.piece.title)
            if score is None:
                continue
            done += 1
            rng = random.Random(planted.seed)
            line = score.voice_names().index(planted.voice)
            click = judge(score, [line], heard(planted, list(planted.performance), Path(place)),
                          settings=Settings(tempo_qpm=Fraction(planted.qpm), starts_at_s=Fraction(STARTS_AT_S))).takes[0]  # fmt: skip
            sung, out = slipped(with_rubato(list(planted.performance), rng), score, line, set(planted.faults), rng)
            records = heard(planted, sung, Path(place))
            began = time.process_time()
            free = judge(score, [line], records, settings=Settings(time="free")).takes[0]
            spent_s += time.process_time() - began
            sung_s += sung[-1].end_s
            right_fits += bool(free.tempo_line)
            last = {n.index: n for n in sung}
            before = {n.index: one.midi for one, n in itertools.pairwise(sung)}
            for k, (told, by_click) in enumerate(zip(free.notes, click.notes, strict=False)):
                expected = {"late": "held", "early": "held", "breath": "held"}.get(
                    by_click.sign.value, by_click.sign.value
                )
                expected = "silent" if k == out else expected
                notes += 1
                same += ("held" if told.sign.value == "breath" else told.sign.value) == expected
                if k in last and told.start_s is not None and before.get(k) != last[k].midi:
                    errors_ms.append(abs(told.start_s - last[k].start_s) * 1000)
            other = rng.choice([s for s in scores.values() if s.title != score.title])
            wrong = judge(other, [line], records, settings=Settings(time="free")).takes[0]
            wrong_told += not wrong.tempo_line
    half, most = np.percentile(errors_ms, [50, 95])
    print(
        f"{done} takes from seed {args.seed}: onsets {half:.0f} ms off in the middle, 95 % within {most:.0f} ms ({len(errors_ms)})"
    )
    print(f"signs as to the click: {same} of {notes} notes, {100 * same / notes:.1f} %")
    print(f"wrong pieces said not to fit: {wrong_told} of {done}; right ones taken to fit: {right_fits} of {done}")
    print(f"laid on the score and judged at {sung_s / spent_s:.0f} times real time")
    return 0 if half <= 50 and most <= 150 and same >= 0.95 * notes else 1


if __name__ == "__main__":
    sys.exit(main())
