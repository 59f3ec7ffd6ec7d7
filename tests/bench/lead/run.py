"""How near the other voices come to a singer who leads.

    .venv/bin/python tests/bench/lead/run.py [--takes 24] [--seed 81000] [--wander 0.15] [--short]

Singers of the tests (``simulated_singer``, which shares no code with the program) sing lines of shipped four-part exercises in front
of the pretend link, at a tempo that wanders by ``--wander`` either way in two slow waves (periods of 5 to 9 and of 11 to 20 s), with
one note a whole tone off, and hear nobody. Printed: how far music time, as the loudspeaker gave it, was from each entry (a vowel), by
the length of the longest note; and how many notes have the sign that they have in the same singer's take to the click, late and early
counted as held.
The last line is a singer who falls silent for two bars: where the others wait, and how soon they go on once the singer is back.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import numpy as np  # noqa: E402
from live_rig import Rig, hear  # noqa: E402
from quick_steps import quick_steps  # noqa: E402
from slips import SungNote  # noqa: E402

from trainer.formats import read_path  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.live.desk import Desk  # noqa: E402
from trainer.practice.settings import Settings  # noqa: E402
from trainer.score.model import Score  # noqa: E402

STEP_S = 0.01
TIMING = {"late": "held", "early": "held", "breath": "held", "left early": "held"}


def wandering(sung: list[SungNote], wander: float, rng: random.Random) -> list[SungNote]:
    """The notes on a time axis that pushes and drags in two slow waves; the first stands where it stood."""
    at_s = np.arange(0, 2 * sung[-1].end_s + 2, STEP_S)
    waves = [np.sin(2 * np.pi * at_s / rng.uniform(*period) + rng.uniform(0, 6.28)) for period in ((5, 9), (11, 20))]
    speed = (1 + wander) ** ((waves[0] + waves[1]) / 2)
    warped = np.concatenate([[0.0], np.cumsum(1 / speed)[:-1]]) * STEP_S
    warped += sung[0].start_s - np.interp(sung[0].start_s, at_s, warped)
    return [
        replace(n, start_s=float(np.interp(n.start_s, at_s, warped)), end_s=float(np.interp(n.end_s, at_s, warped)))
        for n in sung
    ]


def rig_of(score: Score, line: int, time: str) -> Rig:
    return Rig(
        score=score,
        line_index=line,
        settings=Settings(time=time, tempo_qpm=score.tempo.points[0][1]),
        desk=Desk(line),
    )


def came_in(rig: Rig, sung: list[SungNote], seed: int) -> tuple[list[float], list[str]]:
    """Milliseconds by which music time at the loudspeaker missed each entry, positive when late; the signs."""
    score, line = rig.score, rig.line_index
    kept: list = []
    heard = hear(
        rig, rig.microphone(tuple(sung), seed=seed, after_s=8.0), between=lambda link, player, take: kept.append(player)
    )
    player, begun = kept[-1], rig.begun()
    errors = []
    for n in sung:
        quarters = score.lines[line].notes[n.index].onset_quarters
        sounded_s = (player._time.frame_of(quarters) - begun.music_frame) / rig.rate_hz
        errors.append(1000 * (sounded_s - n.start_s))
    return errors, heard.signs


def spread(sizes: list[float]) -> str:
    middle, most = np.percentile(sizes, [50, 90])
    return f"{middle:.0f} ms in the middle, nine of ten within {most:.0f} ms ({len(sizes)} entries)"


def falls_silent(rig: Rig, seed: int) -> str:
    sung = list(rig.as_written())
    bars = rig.score.bars()
    notes = rig.score.lines[rig.line_index].notes
    bar_s = float(bars.bars[2].length_quarters) * 60 / float(rig.settings.tempo_qpm)
    gone = [n for n in sung if bars.place(notes[n.index].onset_quarters).bar == 4]
    sung = [n for n in sung if n.index < gone[0].index] + [
        replace(n, start_s=n.start_s + 1.5 * bar_s, end_s=n.end_s + 1.5 * bar_s)
        for n in sung
        if n.index > gone[-1].index
    ]
    errors, signs = came_in(rig, sung, seed)
    back = next(k for k, n in enumerate(sung) if n.index > gone[-1].index)
    return f"a bar of silence: the others came in {errors[back]:.0f} ms after the singer, then {errors[back + 1]:.0f}; {' '.join(signs)}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=24)
    parser.add_argument("--seed", type=int, default=81_000)
    parser.add_argument("--wander", type=float, default=0.15)
    parser.add_argument("--short", action="store_true", help="three takes")
    args = parser.parse_args()
    quick_steps()
    scores = [score for score in (read_path(e.path) for e in exercises()) if len(score.lines) == 4]
    found: dict[str, list[float]] = {}
    same = notes = 0
    for seed in range(args.seed, args.seed + (3 if args.short else args.takes)):
        rng = random.Random(seed)
        score = rng.choice(scores)
        line = rng.randrange(4)
        rig = rig_of(score, line, "free")
        written = list(rig.as_written())
        wrong = rng.randrange(2, len(written) - 1)
        written[wrong] = replace(written[wrong], midi=written[wrong].midi + rng.choice((-2, 2)))
        errors, signs = came_in(rig, wandering(written, args.wander, rng), seed)
        longest = max(n.end_quarters - n.onset_quarters for n in score.lines[line].notes[:-1])
        found.setdefault(f"{float(longest):g} quarters", []).extend(errors[1:])
        fixed = rig_of(score, line, "fixed")
        click = hear(fixed, fixed.microphone(tuple(written), seed=seed)).signs
        notes += len(signs)
        same += sum(TIMING.get(a, a) == TIMING.get(b, b) for a, b in zip(signs, click, strict=True))
        print(f"{seed} {score.title}, {score.voice_names()[line]}: {' '.join(f'{e:.0f}' for e in errors)}", flush=True)
        odd = [
            f"{k + 1}: {a} ({b})"
            for k, (a, b) in enumerate(zip(signs, click, strict=True))
            if TIMING.get(a, a) != TIMING.get(b, b)
        ]
        if odd:
            print("   other than to the click:", ", ".join(odd))
    every = [abs(e) for errors in found.values() for e in errors]
    for kind, errors in sorted(found.items()):
        print(f"longest note {kind}: {spread([abs(e) for e in errors])}")
    middle = statistics.median(every)
    print(f"all: {spread(every)}")
    print(f"signs as to the click: {same} of {notes} notes")
    print(falls_silent(rig_of(scores[0], 2, "free"), args.seed))
    return 0 if middle <= 120 and same >= 0.95 * notes else 1


if __name__ == "__main__":
    sys.exit(main())
