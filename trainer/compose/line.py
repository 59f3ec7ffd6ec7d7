"""One voice while it grows: what it has sung, what it owes, and where it may go next."""

from __future__ import annotations

from typing import NamedTuple

from trainer.compose.ground import FORBIDDEN
from trainer.compose.plan import Plan

Chain = tuple[int, int, "Chain | None"]  # pitch, onset in eighths, what came before; pitch -1 is a rest

ROUND, WIDE = 4, 4
"""The bar from which whole notes should have left the round of a fourth; letters of a fifth."""

FREE, UP, DOWN, STEP, WEAK, RISE = range(6)
"""What a line owes next: nothing, a step up, a step down, a step, the ways out of a weak dissonance, two steps up (cambiata)."""


class Head(NamedTuple):
    """The growing end of a line. Pitches are numbers of the ground, -1 for none.

    ``two`` and ``one`` are the notes before ``pitch``; ``first`` and ``run`` where the present run in one direction began and how
    many notes it has; ``came`` its last move in letters, ``again`` how often the pitch was repeated, ``leaps`` how many leaps it
    made running; ``owes`` what must follow; ``goal`` the resolution of a suspended note, ``fell`` the bar in which it was last
    suspended; ``down`` and ``half`` what sounded at the last first beat and half bar, ``away`` and ``half_away`` the moves that left
    them, ``moves`` and ``later`` how many notes were struck since; ``pattern`` the eighths struck in this bar as bits, bit 8 for a
    tie into it, ``rhythms`` those of the bars before; ``pairs`` the bar of the last pair of eighths; ``breaks`` and ``broke`` how many
    bars went without a tie and which last; ``high`` and ``deep`` its highest and lowest letters.
    """

    chain: Chain | None
    pitch: int
    on: int
    one: int
    two: int
    first: int
    run: int
    came: int
    again: int
    owes: int
    goal: int
    down: int
    half: int
    away: int
    half_away: int
    moves: int
    later: int
    pattern: int
    rhythms: tuple[int, ...]
    pairs: int
    breaks: int
    broke: int
    fell: int
    high: int
    deep: int
    leaps: int


def silent() -> Head:
    """A voice before its first note."""
    return Head(None, -1, -1, -1, -1, -1, 0, 0, 0, FREE, -1, -1, -1, 0, 0, 0, 0, 0, (), -2, 0, -2, -2, 0, 0, 0)


def struck(plan: Plan, head: Head, pitch: int, at: int, owes: int) -> Head:
    """The line with one more note at eighth *at* of the exercise."""
    ground, slot = plan.ground, at % 8
    bit = 1 << slot
    if head.pitch < 0:
        half = pitch if slot <= 4 else head.half
        down = pitch if slot == 0 else -1
        return head._replace(
            chain=(pitch, at, head.chain), pitch=pitch, on=at, first=pitch, run=1, high=ground.dia[pitch], deep=ground.dia[pitch],
            owes=owes, down=down, half=half, pattern=head.pattern | bit,
        )  # fmt: skip
    move = ground.dia[pitch] - ground.dia[head.pitch]
    first, run = head.first, head.run
    if move:
        if head.came * move < 0 and run > 1:
            first, run = head.pitch, 2
        else:
            run += 1
    leaps = head.leaps + 1 if abs(move) > 1 else 0
    away = move if slot and not head.moves else head.away
    half_away = move if slot > 4 and not head.later else head.half_away
    return head._replace(
        chain=(pitch, at, head.chain), pitch=pitch, on=at, one=head.pitch, two=head.one, first=first, run=run,
        came=move or head.came, again=0 if move else head.again + 1, owes=owes, goal=-1, leaps=leaps,
        high=max(head.high, ground.dia[pitch]), deep=min(head.deep, ground.dia[pitch]),
        away=away, half_away=half_away, moves=head.moves + (slot > 0), later=head.later + (slot > 4),
        half=pitch if slot <= 4 else head.half, down=pitch if slot == 0 else head.down, pattern=head.pattern | bit,
    )  # fmt: skip


def at_bar(head: Head, tied: bool) -> Head:
    """The line as a new bar begins over it; the pattern of the last bar is kept to compare."""
    return head._replace(
        rhythms=(*head.rhythms, head.pattern), pattern=256 if tied else 0, down=head.pitch, half=head.pitch, away=0, half_away=0, moves=0,
        later=0,
    )  # fmt: skip


def ways(plan: Plan, voice: int, head: Head, bar: int, slot: int) -> list[tuple[int, int]]:
    """Every pitch that the line may strike at an eighth of a bar by its own law, with its price; the cheapest first."""
    ground, taste = plan.ground, plan.taste
    allowed, pull = plan.open[bar], plan.pull[voice][bar]
    if head.pitch < 0:
        inside = plan.inside[voice]
        return sorted((pull[q], q) for q in range(len(inside)) if inside[q] and allowed[q])
    dia, p, one = ground.dia, head.pitch, head.one
    here, owes, place = dia[p], head.owes, plan.place[voice]
    whole = plan.species[voice] == "1"
    widest = plan.widest
    quick = plan.species[voice] in "35" and head.on % 4 == 0 and 8 * bar + slot == head.on + 2
    third_leap = plan.law.price("three-leaps") if head.leaps > 1 else 0
    if third_leap == FORBIDDEN:
        third_leap = taste["grade-avoid"] * 4
    same_top = taste["same-top"]
    still = taste["static"] if whole and bar >= ROUND else 0
    found = []
    for q, price in plan.reach[voice][p]:
        if not allowed[q]:
            continue
        if dia[q] - head.deep > widest or head.high - dia[q] > widest:
            continue
        move = dia[q] - here
        if owes and head.two >= 0 and dia[q] == dia[head.two] and q != head.two:
            continue  # two neighbours lead back to their own note, not to another form of it
        if owes and not _pays(plan, owes, head, move):
            continue
        if not move:
            if q != p or not whole or head.again > 1:
                continue
            inner = 0 < voice < plan.bass
            price += taste["repeat-inner"] - taste["repeat"] if inner else head.again * taste["repeat"]
        turn = ground.turn(one, p, q, place)
        if turn == FORBIDDEN:
            continue
        if head.run > 2 and move * head.came < 0:
            outline = ground.outline(head.first, p, plan.whole_inner[voice])
            if outline == FORBIDDEN:
                continue
            price += outline
        if q == one and p == head.two and move:
            price += taste["to-and-fro"]
        if dia[q] == head.high:
            price += same_top
        if max(head.high, dia[q]) - min(head.deep, dia[q]) < WIDE:
            price += still
        if abs(move) > 1:
            price += third_leap + (taste["accented-leap"] if quick and move > 1 else 0)
        found.append((price + turn + pull[q], q))
    found.sort()
    return found


def onward(plan: Plan, voice: int, head: Head, pitch: int) -> int:
    """Price of one given note next, however it comes about; FORBIDDEN where the line may not go there."""
    ground = plan.ground
    turn = ground.turn(head.one, head.pitch, pitch, plan.place[voice])
    move = ground.dia[pitch] - ground.dia[head.pitch]
    if turn == FORBIDDEN or head.run < 3 or move * head.came >= 0:
        return turn
    outline = ground.outline(head.first, head.pitch, plan.whole_inner[voice])
    return FORBIDDEN if outline == FORBIDDEN else turn + outline


def _pays(plan: Plan, owes: int, head: Head, move: int) -> bool:
    if owes in (UP, RISE):
        return move == 1
    if owes == DOWN:
        return move == -1
    if owes == STEP or abs(move) == 1:
        return abs(move) == 1
    # out of a weak dissonance not by step: the cambiata, or inside the bar the other neighbour
    other = move == -2 * head.came and head.on % 8 == 2 and head.pattern & 1
    return (head.came == -1 and move == -2) or bool(other and plan.law.price("double-neighbour") != FORBIDDEN)
