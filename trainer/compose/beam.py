"""The search: the best states go on side by side, moment by moment, and chance decides between what is nearly as good.

Budgets are counted in states, never in time; the only chance is ``random.Random(seed).random()``; ties are decided by the order in
which ways were found. So a seed gives the same music on every machine.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass
from itertools import combinations

from trainer.compose.choices import ORNAMENT, PAIR, TIE, Act
from trainer.compose.grow import after
from trainer.compose.line import FREE, STEP, Chain, Head, at_bar, silent, struck
from trainer.compose.plan import Plan
from trainer.compose.state import State


@dataclass(frozen=True, slots=True)
class Effort:
    """How many states go on from each moment, and how many of them from any one before."""

    width: int
    from_one: int


class Spent:
    """How many states have gone on, how many finished exercises were looked at in vain, and which rules these broke how often."""

    def __init__(self) -> None:
        self.states, self.refused = 0, 0
        self.broken: Counter[str] = Counter()


def search(plan: Plan, rng: random.Random, effort: Effort, spent: Spent) -> list[State]:
    """Whole exercises, the cheapest first; empty when every state came to a dead end."""
    states = [State(0, tuple(silent() for _ in plan.voices), tuple(0 for _ in plan.pairs))]
    noise = plan.taste["noise"]
    for bar in range(plan.bars):
        slots = plan.slots if bar < plan.bars - 1 else (0,)
        for slot in slots:
            found: list[tuple[int, int, int, tuple[Act, ...]]] = []
            spent.states += len(states)
            for index, state in enumerate(states):
                own = [(price + int(rng.random() * noise), acts) for price, acts in after(plan, state, bar, slot)]
                order = sorted(range(len(own)), key=lambda place: (own[place][0], place))
                for place in order[: effort.from_one]:
                    found.append((own[place][0], index, place, own[place][1]))
            found.sort(key=lambda one: one[:3])
            states = [
                _advanced(plan, states[index], price, acts, bar, slot)
                for price, index, _, acts in found[: effort.width]
            ]
            if not states:
                return []
    return states


def _advanced(plan: Plan, state: State, price: int, acts: tuple[Act, ...], bar: int, slot: int) -> State:
    at = 8 * bar + slot
    heads = tuple(
        _head(plan, voice, head, act, at) for voice, (head, act) in enumerate(zip(state.heads, acts, strict=True))
    )
    if slot == 0 and bar:
        for voice, head in enumerate(state.heads):
            if plan.species[voice] == "5" and bar > 1:
                price += plan.taste["same-rhythm"] if head.pattern == head.rhythms[-1] else 0
                price += plan.taste["rhythm-again"] * head.rhythms.count(head.pattern)
    running = state.running
    if slot == 0:
        running = tuple(
            _running(plan, state.heads[up], heads[up], state.heads[low], heads[low], count)
            for (up, low), count in zip(plan.pairs, state.running, strict=True)
        )
    return State(price, heads, running)


def _head(plan: Plan, voice: int, head: Head, act: Act, at: int) -> Head:
    slot, bar = at % 8, at // 8
    tied = act is not None and act[0] == TIE
    if slot == 0:
        head = at_bar(head, tied)
    if act is None:
        return head
    what, pitch, more = act
    if what == TIE:
        return head._replace(goal=more, fell=bar if more >= 0 else head.fell)
    goal = head.goal
    if what == PAIR:
        first = struck(plan, head, pitch, at, FREE)
        second = struck(plan, first, more, at + 1, STEP)
        # an ornament is left by the step to its resolution, which is another pitch or the same
        return second._replace(goal=goal, pairs=bar, owes=FREE if goal >= 0 else STEP)
    new = struck(plan, head, pitch, at, FREE if what == ORNAMENT else more)
    if what == ORNAMENT:
        return new._replace(goal=goal)
    if slot == 0 and plan.species[voice] == "4" and bar < plan.bars - 1:
        return new._replace(breaks=head.breaks + 1, broke=bar)
    return new


def _running(plan: Plan, high: Head, up: Head, deep: Head, low: Head, count: int) -> int:
    """How many thirds, or sixths, the pair has had one after another by parallel motion."""
    if high.pitch < 0 or deep.pitch < 0 or up.pitch == high.pitch or low.pitch == deep.pitch:
        return 0
    dia = plan.ground.dia
    before, now = (dia[high.pitch] - dia[deep.pitch]) % 7, (dia[up.pitch] - dia[low.pitch]) % 7
    same_way = (dia[up.pitch] - dia[high.pitch]) * (dia[low.pitch] - dia[deep.pitch]) > 0
    return count + 1 if before == now and now in (2, 5) and same_way else 0


def notes_of(head: Head) -> list[tuple[int, int]]:
    """Pitch and onset (in eighths) of a line, in order."""
    found = []
    chain: Chain | None = head.chain
    while chain is not None:
        found.append((chain[0], chain[1]))
        chain = chain[2]
    return found[::-1]


def peaks_together(plan: Plan, state: State) -> int:
    """How many pairs of voices have their highest notes in one bar."""
    midi, bars = plan.ground.midi, []
    for head in state.heads:
        notes = notes_of(head)
        top = max(midi[pitch] for pitch, _ in notes)
        bars.append({on // 8 for pitch, on in notes if midi[pitch] == top})
    return sum(bool(one & other) for one, other in combinations(bars, 2))
