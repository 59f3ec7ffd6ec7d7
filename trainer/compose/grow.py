"""One more moment of music: everything that all voices may do at once after a state, with its price.

Voices are placed one after another, and each is tried against those already placed: consonance first, since it fails most, then
motion, places, echoes of perfect intervals over the bar. On a first beat a suspended note counts as the note it means.
"""

from __future__ import annotations

from trainer.compose.against import CLASH, Against
from trainer.compose.choices import ORNAMENT, PAIR, STRIKE, TIE, Act, Choice, downbeat, offbeat
from trainer.compose.ground import FORBIDDEN
from trainer.compose.line import DOWN, FREE, RISE, STEP, UP, WEAK, Head
from trainer.compose.plan import CANTUS, Plan
from trainer.compose.state import Moment, Put, State
from trainer.compose.upright import Upright
from trainer.rules.suspension import LEAPT_TO

LAST_STRUCK = {CANTUS: 0, "1": 0, "2": 4, "4": 4, "3": 6, "5": 6}
"""The eighth of the last bar but one on which a voice of each species decides what it closes from."""

SEVENTH = -1
"""Stands among the clashing voices for a chord of the seventh."""

BROKEN = -1
"""What no line may owe: a figure that is not one."""


def after(plan: Plan, state: State, bar: int, slot: int) -> list[tuple[int, tuple[Act, ...]]]:
    """Every way on at eighth *slot* of *bar*: price so far and the act of each voice."""
    return _Moment(plan, state, bar, slot).all_ways()


class _Moment:
    """The work of one moment; made and thrown away."""

    def __init__(self, plan: Plan, state: State, bar: int, slot: int) -> None:
        self.plan, self.state, self.bar, self.slot = plan, state, bar, slot
        self.found: list[tuple[int, tuple[Act, ...]]] = []
        self.held: list[Put] = []
        choices: dict[int, list[Choice]] = {}
        for voice, head in enumerate(state.heads):
            found = downbeat(plan, voice, head, bar) if slot == 0 else offbeat(plan, voice, head, bar, slot)
            if found is None:
                self.held.append(Put(voice, head.pitch, head.pitch, None, False))
                continue
            if bar == plan.bars - 2 and slot == LAST_STRUCK[plan.species[voice]]:
                found = [one for one in found if self._towards_close(voice, head, one)]
            choices[voice] = found
        sounding = [put.voice for put in self.held if put.sounding >= 0]
        sounding += [voice for voice, found in choices.items() if found and found[0][2] >= 0]
        moment = Moment(bar, slot, max(sounding, default=plan.bass))
        entering = any(head.pitch < 0 for head in state.heads)
        if bar == plan.bars - 1 or (bar == 0 and entering):
            for voice, found in choices.items():
                choices[voice] = [one for one in found if one[2] < 0 or self._belongs(voice, moment.low, one[2])]
        self.order = sorted(choices, key=self._rank)
        self.options = [choices[voice] for voice in self.order]
        self.against, self.upright = Against(plan, state, moment), Upright(plan, state, moment)

    def _rank(self, voice: int) -> tuple[int, int]:
        plan, species = self.plan, self.plan.species[voice]
        if species == CANTUS:
            return 0, voice
        if self.state.heads[voice].goal >= 0 or (species == "4"):
            return 1, voice
        return (2, voice) if voice == plan.bass else (3 if species == "1" else 4, voice)

    def _towards_close(self, voice: int, head: Head, choice: Choice) -> bool:
        """Whether the last note before the end is the leading voice's leading note, and nobody else's."""
        leads, plan = self.plan.leads(choice[3]), self.plan
        if voice != plan.cantus and not plan.closing[voice][choice[3]][0]:
            return False
        return leads if voice == self.plan.leader else voice == self.plan.cantus or not leads

    def _belongs(self, voice: int, low: int, pitch: int) -> bool:
        """The first and the last chord: the final under its own triad, and in two parts perfect intervals only."""
        plan, degree = self.plan, self.plan.ground.degree[pitch]
        if voice == low:
            return degree == 1
        if plan.parts == 2:
            return degree == 1 or (degree == 5 and self.bar == 0 and plan.cantus != 0)
        return degree in (1, 3, 5)

    def all_ways(self) -> list[tuple[int, tuple[Act, ...]]]:
        """Every way on."""
        placed = [put for put in self.held if put.sounding >= 0]
        if any(not choices for choices in self.options):
            return []
        self._place(0, placed, self.state.price, {})
        return self.found

    def _place(self, index: int, placed: list[Put], price: int, clashes: dict[int, int]) -> None:
        if index == len(self.order):
            self._finish(placed, price, clashes)
            return
        voice, against = self.order[index], self.against
        for dear, act, sounding, meant in self.options[index]:
            if sounding < 0:
                self._place(index + 1, placed, price + dear, clashes)
                continue
            struck = act is not None and act[0] != TIE
            put = Put(voice, sounding, meant, act, struck)
            total, owed = price + dear, clashes
            for other in placed:
                more = against.price(put, other)
                if more == FORBIDDEN:
                    break
                if more > CLASH // 2:
                    guilty = self._guilty(put, other)
                    if self.slot == 0:
                        owed = {**owed, SEVENTH: FREE}
                    elif guilty is None:
                        break
                    elif guilty.voice not in owed:
                        debt = self._debt(guilty)
                        if debt is None:
                            break
                        total += debt[0]
                        owed = {**owed, guilty.voice: debt[1]}
                    more -= CLASH
                total += more
            else:
                self._place(index + 1, [*placed, put], total, owed)

    def _guilty(self, one: Put, other: Put) -> Put | None:
        """Which of two clashing notes passes against the other; None where both are struck now."""
        if one.struck and other.struck:
            return None
        return one if one.struck else other if other.struck else None

    def _debt(self, put: Put) -> tuple[int, int] | None:
        """Price of a dissonance off the first beat and what it owes; None where it may not be."""
        plan, head, taste = self.plan, self.state.heads[put.voice], self.plan.taste
        if head.pitch < 0 or put.act is None:
            return None
        move = plan.ground.dia[put.sounding] - plan.ground.dia[head.pitch]
        species, slot = plan.species[put.voice], self.slot
        if head.owes == WEAK and move == -2 * head.came:
            return (taste["double-neighbour"], UP if head.came > 0 else DOWN) if slot == 4 else None
        if abs(move) != 1 or species == "4":
            return None
        on = UP if move > 0 else DOWN
        if head.owes == RISE:
            return 0, UP
        last = self.bar == plan.bars - 2 and slot == LAST_STRUCK[species]
        if head.owes or (last and not plan.closing[put.voice][put.sounding][1]):
            return None
        if put.act[0] == PAIR:
            return 0, STEP
        if slot == 4:
            if species == "2":
                back = plan.law.price("dissonance-weak", "neighbour")
                return taste["passing"], on if back == FORBIDDEN or back else STEP
            return (taste["accented-passing"], on) if species == "3" else None
        return taste["passing"], WEAK

    def _finish(self, placed: list[Put], price: int, clashes: dict[int, int]) -> None:
        plan = self.plan
        if clashes and self.slot == 4 and plan.parts > 3 and sum(put.struck for put in placed) > 1:
            return  # several notes struck together that pass make a chord of the seventh
        acts: list[Act] = [None] * plan.parts
        for put in placed:
            act = put.act
            if act is not None and act[0] == STRIKE:
                owes = clashes[put.voice] if put.voice in clashes else self._left(put)
                if owes == BROKEN or (owes and self.bar == plan.bars - 1):
                    return
                act = (STRIKE, act[1], owes)
            elif act is not None and act[0] == PAIR and not self._pair_lawful(put, placed, put.voice in clashes):
                return
            acts[put.voice] = act
        if self.slot == 0:
            more = self.upright.price(placed)
            if more == FORBIDDEN:
                return
            price += more
            if SEVENTH in clashes:
                falls = self.upright.seventh(placed)
                if falls is None:
                    return
                price += plan.taste["seventh-chord"]
                if falls.voice != plan.cantus:
                    acts[falls.voice] = (STRIKE, falls.sounding, DOWN)
        elif any(put.act and put.act[0] == ORNAMENT and not self._ornament_lawful(put, placed) for put in placed):
            return
        self.found.append((price, tuple(acts)))

    def _left(self, put: Put) -> int:
        """What a consonant note still owes: the end of a cambiata or of two neighbours."""
        head = self.state.heads[put.voice]
        if head.owes == RISE:
            return UP
        if head.owes == WEAK:
            move = self.plan.ground.dia[put.sounding] - self.plan.ground.dia[head.pitch]
            if head.came == -1 and move == -2:
                # its first note counts as a consonance only where nothing was suspended beside it
                beside = self.slot == 4 and any(other.goal >= 0 for other in self.state.heads)
                return BROKEN if beside else RISE
            if move == -2 * head.came and self.slot == 4:
                return UP if head.came > 0 else DOWN
        return FREE

    def _pair_lawful(self, put: Put, placed: list[Put], first_clashes: bool) -> bool:
        """Whether of two eighths one is consonant, and the second doubles no leading tone."""
        assert put.act is not None  # noqa: S101 - the caller looked
        second = put.act[2]
        if any(self.against.doubles(second, other.sounding) for other in placed if other is not put):
            return False
        if self.state.heads[put.voice].goal >= 0:
            return True
        return not first_clashes or self.against.consonant(put, second, placed)

    def _ornament_lawful(self, put: Put, placed: list[Put]) -> bool:
        assert put.act is not None  # noqa: S101 - the caller looked
        head, ground = self.state.heads[put.voice], self.plan.ground
        leapt = (ground.dia[put.sounding] - ground.dia[head.pitch],) in LEAPT_TO
        return not leapt or self.against.consonant(put, put.sounding, placed)
