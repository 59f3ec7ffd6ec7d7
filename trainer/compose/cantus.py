"""Cantus firmi: Fux's six by name, and new ones of ours for any mode and length.

A cantus is given as pitches on the final of its mode wherever it was written; ``setting`` moves it. Ours go mostly by step, begin and
end on the final, come to it from the step above, have one peak, repeat no note at once and break no rule of melody (Jeppesen 1931 and
a university's grading guide, as the rules themselves say).
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache
from importlib import resources

from trainer.compose.ground import FORBIDDEN, Ground, Law, mode_of
from trainer.compose.line import Head, silent, struck, ways
from trainer.compose.plan import Peak, Plan, Voice
from trainer.compose.taste import taste
from trainer.rules.ruleset import RuleSet
from trainer.score.pitch import Pitch

SHORTEST, LONGEST = 8, 14
OWN = "our own"
_WIDTH = 24


@dataclass(frozen=True, slots=True)
class Cantus:
    """A melody in whole notes: its name, its mode's word, its final as written, its pitches."""

    name: str
    mode: str
    final: str
    pitches: tuple[Pitch, ...]


@cache
def named() -> dict[str, Cantus]:
    """Fux's six by name."""
    text = resources.files("trainer.compose").joinpath("melodies.table").read_text(encoding="utf-8")
    found = {}
    for line in text.splitlines():
        words = line.split()
        if words and words[0] != "#":
            pitches = tuple(Pitch.parse(word) for word in words[2:])
            last = pitches[-1]
            found[words[0]] = Cantus(words[0], words[1], f"{last.step}{last.accidental}", pitches)
    return found


def fresh(mode: str, length: int, rules: RuleSet, rng: random.Random) -> Cantus:
    """A new cantus of *length* notes in *mode*."""
    final = {"dorian": "D", "phrygian": "E", "lydian": "F", "mixolydian": "G", "ionian": "C", "major": "C"}.get(
        mode, "A"
    )
    home = Pitch.parse(f"{final}4")
    law = Law(rules, 2)
    ground = Ground(mode_of(final, mode), law, home.midi - 7, home.midi + 14)
    start = ground.number(home)
    assert start is not None  # noqa: S101 - the compass was laid around it
    while True:
        peak = Peak(length // 3 + int(rng.random() * (length // 2)), home.diatonic + 4 + int(rng.random() * 4))
        plan = Plan(ground, (Voice("soprano", "1", home.midi - 6, home.midi + 13), Voice("bass", "cantus", 0, 127)),
                    (start,) * length, (peak, None), 0)  # fmt: skip
        line = _grown(plan, start, peak, rng)
        if line is not None:
            return Cantus(OWN, mode, final, tuple(ground.pitch(number) for number in line))


def _grown(plan: Plan, start: int, peak: Peak, rng: random.Random) -> tuple[int, ...] | None:
    ground, length, noise = plan.ground, plan.bars, 3 * taste()["noise"]
    dia = ground.dia
    states: list[tuple[int, tuple[int, ...], Head]] = [(0, (start,), struck(plan, silent(), start, 0, 0))]
    for bar in range(1, length):
        left = length - 1 - bar
        found: list[tuple[int, int, int, int]] = []
        for index, (price, notes, head) in enumerate(states):
            for more, q in ways(plan, 0, head, bar, 0):
                home = dia[q] - dia[start]
                ending = (left == 0 and home == 0) or (left == 1 and home == 1) or left > 1
                free = (
                    q != notes[-1]
                    and notes.count(q) < 3
                    and ground.kind[q] == 0
                    and (left == 0 or q != start or left > 2)
                )
                near = abs(home) <= 2 * left + 1
                below_peak = (dia[q] < peak.dia) if bar != peak.bar else dia[q] == peak.dia
                if ending and free and near and below_peak and abs(dia[q] - dia[notes[-1]]) < 6:
                    found.append((price + more + int(rng.random() * noise), index, len(found), q))
        found.sort()
        states = [
            (price, (*states[index][1], q), struck(plan, states[index][2], q, 8 * bar, 0))
            for price, index, _, q in found[:_WIDTH]
        ]
        if not states:
            return None
    for _, notes, head in states:
        if head.run < 3 or ground.outline(head.first, notes[-1], False) != FORBIDDEN:
            return notes
    return None
