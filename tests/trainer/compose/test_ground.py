"""What a line may do while it grows is what the checker says of it: the two never part."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from trainer.compose.ground import FORBIDDEN, Ground, Law, mode_of
from trainer.rules.checking import check
from trainer.rules.ruleset import shipped
from trainer.score.model import Line, Note, Score

PERFECTS = {
    f"{way}-{kind}" for way in ("parallel", "antiparallel", "direct") for kind in ("fifth", "octave", "unison")
}  # fmt: skip
MELODIC = {
    "leap-size", "sixth-leap", "seventh-ninth-leap", "augmented-leap", "diminished-leap", "chromatic-step",
    "two-leaps-same-way", "leap-recovery", "minor-6-7",
}  # fmt: skip


def bars(ground: Ground, name: str, pitches: tuple[int, ...]) -> Line:
    return Line(
        name, tuple(Note(Fraction(4 * at), Fraction(4), ground.pitch(pitch)) for at, pitch in enumerate(pitches))
    )


def forbidden(score: Score, rules: str, species: dict[int, str], ids: set[str]) -> bool:
    found = check(score, shipped(rules), species).findings
    return any(one.rule in ids and one.strictness == "forbidden" for one in found)


@pytest.mark.parametrize("rules", ["strict16", "conservatoire", "tonal"])
def test_motion_into_perfect_intervals_is_forbidden_where_the_check_forbids_it(rules: str) -> None:
    ground = Ground(mode_of("D", "dorian"), Law(shipped(rules), 2), 48, 76)
    white = [number for number, sort in enumerate(ground.kind) if sort == 0]
    low = [number for number in white if ground.midi[number] <= 62]
    rng = random.Random(5)
    seen = set()
    for _ in range(400):
        a, b = rng.sample(white, 2)
        c, d = rng.sample(low, 2)
        if not ground.perfect[d][b] or ground.midi[a] < ground.midi[c] or ground.midi[b] < ground.midi[d]:
            continue
        # a last bar of its own, since the last chord is excused
        score = Score("two", (bars(ground, "a", (a, b, b)), bars(ground, "b", (c, d, c))))
        told = forbidden(score, rules, {0: "1", 1: "1"}, PERFECTS)
        assert (ground.motion(a, b, c, d, 2) == FORBIDDEN) == told, (score, rules)
        seen.add(told)
    assert seen == {True, False}


@pytest.mark.parametrize("mode", ["dorian", "minor"])
def test_three_notes_running_are_forbidden_where_the_check_forbids_them(mode: str) -> None:
    ground = Ground(mode_of("D", mode), Law(shipped("strict16"), 2), 60, 79)
    pitches = range(len(ground.dia))
    rng = random.Random(6)
    seen = set()
    for _ in range(400):
        a, b, c = (rng.choice(pitches) for _ in range(3))
        # the last note is judged when the next one comes
        if a == b or b == c or 3 in (ground.kind[a], ground.kind[b], ground.kind[c]) or ground.degree[c] in (6, 7):
            continue
        score = Score(
            "one",
            (bars(ground, "a", (a, b, c)), bars(ground, "b", (a,))),
            facts=(("mode", f"D {mode}"),),
        )
        told = forbidden(score, "strict16", {0: "1", 1: "1"}, MELODIC)
        steps = [ground.interval(x, y) for x, y in ((a, b), (b, c)) if x != y]
        # what comes before and after is heard too: the first note has nothing before it
        turns = [ground.turn(-1, a, b, 2), ground.turn(a, b, c, 2)]
        ours = FORBIDDEN in steps or FORBIDDEN in turns
        assert ours or not told, [str(ground.pitch(number)) for number in (a, b, c)]
        seen.add(told)
    assert seen == {True, False}
