"""What each species lets a voice do at one moment: strike, hold, tie over, rest, or a pair of eighths.

A *choice* is (price, act, sounding, meant): the pitch that will sound and the pitch that it stands for, which differ only while a note
is suspended. An *act* is None where nothing new happens, else (what, pitch, more).
"""

from __future__ import annotations

from trainer.compose.ground import FORBIDDEN
from trainer.compose.line import Head, onward, struck, ways
from trainer.compose.plan import CANTUS, Plan
from trainer.rules.suspension import LEAPT_TO, ORNAMENTS

STRIKE, TIE, PAIR, ORNAMENT = range(4)
Act = tuple[int, int, int] | None
Choice = tuple[int, Act, int, int]

MOST_BREAKS = 2
_TIED, _ZERO, _TWO, _FOUR, _SIX = 256, 1, 4, 16, 64


def downbeat(plan: Plan, voice: int, head: Head, bar: int) -> list[Choice]:
    """What a voice may do on the first beat of a bar."""
    species, last = plan.species[voice], plan.bars - 1
    if species == CANTUS:
        pitch = plan.cantus_line[bar]
        return [(0, (STRIKE, pitch, 0), pitch, pitch)]
    if bar == 0 and species in "245":
        return [(0, None, -1, -1)]
    strikes = _strikes(plan, voice, head, bar, 0)
    if species not in "45" or bar == last:
        return strikes
    tied = _ties(plan, voice, head, bar) if head.on == 8 * bar - 4 else []
    if species == "4":
        broken = head.breaks < MOST_BREAKS and head.broke != bar - 1 and 1 < bar < last - 1
        dear = plan.taste["no-tie"]
        return tied + [
            (price + dear, act, q, m) for price, act, q, m in strikes if broken or not tied or bar == last - 1
        ]
    after_quarters = head.pattern & (_ZERO | _TWO | _FOUR | _SIX) == _ZERO | _TWO | _FOUR
    if tied and after_quarters:
        dear = plan.law.price("florid-half-after-quarters")
        strikes = [] if dear == FORBIDDEN else [(price + dear, act, q, m) for price, act, q, m in strikes]
    return tied + strikes


def _ties(plan: Plan, voice: int, head: Head, bar: int) -> list[Choice]:
    """Held as a consonance, or as a suspension that means the note a step below."""
    if head.owes:
        return []
    ground, taste, p = plan.ground, plan.taste, head.pitch
    florid = plan.species[voice] == "5"
    pull = plan.pull[voice][bar][p]
    found: list[Choice] = [(taste["consonant-tie"] + pull, (TIE, p, -1), p, p)]
    for q, price in plan.reach[voice][p]:
        if ground.dia[q] == ground.dia[p] - 1 and plan.open[bar][q] and onward(plan, voice, head, q) >= 0:
            worth = taste["suspension"] + (taste["tie-florid"] if florid else 0)
            found.append((price + worth + pull, (TIE, p, q), p, q))
    return found


def offbeat(plan: Plan, voice: int, head: Head, bar: int, slot: int) -> list[Choice] | None:
    """What a voice may do at eighth *slot* of a bar; None where it only goes on."""
    species = plan.species[voice]
    if species in ("1", CANTUS) or bar == plan.bars - 1:
        return None
    if species == "5":
        return _florid(plan, voice, head, bar, slot)
    if species in "24" and slot != 4:
        return None
    if head.goal >= 0:
        return [(0, (STRIKE, head.goal, 0), head.goal, head.goal)]
    return _strikes(plan, voice, head, bar, slot)


def _strikes(plan: Plan, voice: int, head: Head, bar: int, slot: int) -> list[Choice]:
    return [(price, (STRIKE, q, 0), q, q) for price, q in ways(plan, voice, head, bar, slot)]


def _florid(plan: Plan, voice: int, head: Head, bar: int, slot: int) -> list[Choice] | None:
    taste, pattern, p = plan.taste, head.pattern, head.pitch
    hold: Choice = (0, None, p, p)
    if bar == 0 and slot < 4:
        return None
    if bar == 0 and slot == 4:
        return _strikes(plan, voice, head, bar, slot)
    if slot == 2:
        if head.goal >= 0:
            return [hold, *_ornaments(plan, voice, head, bar)]
        return [hold, *_quarters(plan, voice, head, bar, slot), *_pairs(plan, voice, head, (bar, slot), taste["pair"])]
    if slot == 4:
        if head.goal >= 0:
            return [(0, (STRIKE, head.goal, 0), head.goal, head.goal)]
        strikes = _strikes(plan, voice, head, bar, slot)
        if pattern & (_TIED | _TWO) or head.owes:
            return strikes
        dotted = plan.law.price("florid-values", "dotted-opening")
        return strikes if dotted == FORBIDDEN else [*strikes, (taste["dotted"] + dotted, None, p, p)]
    quick = [*_quarters(plan, voice, head, bar, slot), *_pairs(plan, voice, head, (bar, slot), taste["pair-late"])]
    if not pattern & _FOUR or head.owes:
        return quick
    after_quarters = pattern & (_ZERO | _TWO) == _ZERO | _TWO
    if after_quarters and bar == plan.bars - 2 and plan.law.price("florid-half-after-quarters") == FORBIDDEN:
        return quick  # it could not be tied over
    return [(taste["half-after-quarters"] if after_quarters else 0, None, p, p), *quick]


def _quarters(plan: Plan, voice: int, head: Head, bar: int, slot: int) -> list[Choice]:
    dear = plan.taste["quarters"]
    return [(price + dear, act, q, m) for price, act, q, m in _strikes(plan, voice, head, bar, slot)]


def _pairs(plan: Plan, voice: int, head: Head, place: tuple[int, int], dear: int) -> list[Choice]:
    """Two eighths, both by step, from an eighth of a bar on."""
    bar, slot = place
    if head.pairs >= bar - 1 or head.owes or head.pitch < 0:
        return []
    ground = plan.ground
    found: list[Choice] = []
    for price, q in ways(plan, voice, head, bar, slot):
        if abs(ground.dia[q] - ground.dia[head.pitch]) != 1:
            continue
        first = struck(plan, head, q, 8 * bar + slot, 0)
        for second, more in plan.reach[voice][q]:
            if abs(ground.dia[second] - ground.dia[q]) == 1 and plan.open[bar][second] and second != head.pitch:
                turn = onward(plan, voice, first, second)
                if turn >= 0:
                    found.append((price + more + turn + dear, (PAIR, q, second), q, q))
    return found


def _ornaments(plan: Plan, voice: int, head: Head, bar: int) -> list[Choice]:
    """What may stand between a suspension and its resolution, as the rules name it."""
    ground, dear = plan.ground, plan.taste["ornament"]
    found: list[Choice] = []
    by_dia = {
        ground.dia[q]: q
        for q in range(len(ground.dia))
        if plan.inside[voice][q] and plan.open[bar][q] and not ground.kind[q]
    }
    by_dia[ground.dia[head.goal]], by_dia[ground.dia[head.pitch]] = head.goal, head.pitch
    here = ground.dia[head.pitch]
    for shape in sorted(ORNAMENTS):
        between = [by_dia.get(here + move) for move in shape]
        if None in between or (len(shape) == 2 and head.pairs >= bar - 1) or (shape == (0,) and head.again):
            continue
        line = [one for one in (*between, head.goal) if one is not None]
        if not _singable(plan, voice, head, line):
            continue
        first = line[0]
        if len(shape) == 2:
            found.append((dear, (PAIR, first, line[1]), first, head.goal))
        else:
            rarer = dear if shape in LEAPT_TO or shape == (0,) else 0
            found.append((dear + rarer, (ORNAMENT, first, 0), first, head.goal))
    return found


def _singable(plan: Plan, voice: int, head: Head, line: list[int]) -> bool:
    """Whether the notes may follow one another after the line."""
    at = head.on
    for pitch in line:
        if pitch != head.pitch and plan.ground.interval(head.pitch, pitch) == FORBIDDEN:
            return False
        if pitch != head.pitch and onward(plan, voice, head, pitch) == FORBIDDEN:
            return False
        at += 1
        head = struck(plan, head, pitch, at, 0)
    return True
