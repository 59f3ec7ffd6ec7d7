"""Two voices at one moment: consonance, motion, places, echoes of perfect intervals over the bar, cross relations."""

from __future__ import annotations

from trainer.compose.ground import FORBIDDEN, OCTAVE
from trainer.compose.plan import Plan
from trainer.compose.state import Moment, Put, State
from trainer.rules.parallels.metrical import echo_case

CLASH = 1_000_000
"""Added to the price of two notes that are dissonant off the first beat: one of them must be allowed to be."""


TWELFTH = 11
"""Letters; two parts alone never lie further apart, whatever the rules."""


class Against:
    """Prices of pairs after one state."""

    def __init__(self, plan: Plan, state: State, moment: Moment) -> None:
        self.plan, self.state, self.moment = plan, state, moment

    def price(self, one: Put, other: Put) -> int:
        """Price of two voices at this moment; CLASH is added where they are dissonant off the first beat."""
        plan, ground = self.plan, self.plan.ground
        up, low = (one, other) if one.voice < other.voice else (other, one)
        x, y = up.meant, low.meant
        if ground.midi[up.sounding] < ground.midi[low.sounding] or ground.midi[x] < ground.midi[y]:
            return FORBIDDEN
        lowest = low.voice == self.moment.low
        clash = 0
        if not (ground.with_bass if lowest else ground.above)[y][x]:
            if one.is_ornament or other.is_ornament or (self.moment.slot == 0 and not self._in_seventh(up, low)):
                return FORBIDDEN
            clash = CLASH
        heads = self.state.heads
        a, c = heads[up.voice].pitch, heads[low.voice].pitch
        b, d = up.sounding, low.sounding
        price = 0
        if up.struck and low.struck and a >= 0 and c >= 0:
            if a != b and c != d:
                price = self._together(up, low, a, b, c, d)
                if price == FORBIDDEN:
                    return FORBIDDEN
            elif a == b and c == d:
                price = plan.taste["same-again"]
        if up.struck and low.struck and self.moment.slot in (0, 4) and a >= 0 and c >= 0:
            more = self._echoes(up, low, b, d)
            if more == FORBIDDEN:
                return FORBIDDEN
            price += more
        if self.moment.slot == 0 and self.moment.bar:
            more = self._first_beat(up, low, a, b, c, d)
            if more == FORBIDDEN:
                return FORBIDDEN
            price += more
        elif self.moment.slot == 0:
            if self._too_wide(up, low):
                return FORBIDDEN
        else:
            more = self._off_beat(up, low)
            if more == FORBIDDEN:
                return FORBIDDEN
            price += more
        if ground.altered_letters and a >= 0 and c >= 0:
            more = self._cross(up, low, a, b, c, d)
            if more == FORBIDDEN:
                return FORBIDDEN
            price += more
        return price + clash

    def _in_seventh(self, up: Put, low: Put) -> bool:
        """Whether two voices that clash on a first beat may be of a chord of the seventh, which is looked at as a whole later."""
        if not self.plan.sevenths or not 0 < self.moment.bar < self.plan.bars - 1 or not (up.struck and low.struck):
            return False
        ground = self.plan.ground
        letters = (ground.dia[up.sounding] - ground.dia[low.sounding]) % 7
        return letters in (1, 6) or (low.voice == self.moment.low and letters in (3, 4))

    def _together(self, up: Put, low: Put, a: int, b: int, c: int, d: int) -> int:
        plan, ground, taste = self.plan, self.plan.ground, self.plan.taste
        dia = ground.dia
        outer = 2 if (up.voice, low.voice) == (0, plan.bass) else 1 if low.voice == plan.bass else 0
        price = 0
        if ground.perfect[d][b]:
            price = ground.motion(a, b, c, d, outer)
            if price == FORBIDDEN:
                return FORBIDDEN
        rise, lift = dia[b] - dia[a], dia[d] - dia[c]
        if rise * lift > 0:
            before, now = (dia[a] - dia[c]) % 7, (dia[b] - dia[d]) % 7
            if before == now and now in (2, 5):
                running = self.state.running[plan.pairs.index((up.voice, low.voice))]
                price += taste["parallel-imperfect"] if outer == 2 else 0
                if running >= 2:
                    if (
                        outer == 2
                        and running >= 3
                        and plan.law.price("too-many-parallel-imperfect", "outer") == FORBIDDEN
                    ):
                        return FORBIDDEN
                    price += taste["running-imperfect"] * (running - 1)
            elif outer:
                price += taste["similar"]
        elif rise * lift < 0 and outer == 2:
            price += taste["contrary"]
        return price

    def _first_beat(self, up: Put, low: Put, a: int, b: int, c: int, d: int) -> int:
        """Places and echoes that count on first beats only."""
        plan, ground, taste = self.plan, self.plan.ground, self.plan.taste
        dia, price, last = ground.dia, 0, self.moment.bar == plan.bars - 1
        if b == d and not last:
            two_lowest = plan.parts > 3 and low.voice == plan.bass and up.voice == plan.bass - 1
            price = plan.law.price("unison-inside", "lowest" if two_lowest else "")
            if price == FORBIDDEN:
                return FORBIDDEN
        if low.voice == up.voice + 1 and a >= 0 and c >= 0:
            apart = dia[b] - dia[d]
            if plan.parts == 2 and apart > TWELFTH:
                return FORBIDDEN
            if plan.parts == 2:
                price += taste["wide"] * max(0, apart - 9)
            elif low.voice == plan.bass:
                price += taste["wide-bass"] * max(0, apart - 11)
            elif apart > 7:
                worse = plan.law.price("spacing-upper")
                if worse == FORBIDDEN:
                    return FORBIDDEN
                price += taste["wide"] * (apart - 7)
            if ground.midi[b] < ground.midi[c] or ground.midi[d] > ground.midi[a]:
                price += taste["overlap"]
        if not last and up.meant == up.sounding and low.meant == low.sounding and self.doubles(b, d):
            return FORBIDDEN
        return price

    def doubles(self, one: int, other: int) -> bool:
        """Whether a leading tone or an altered note would sound twice (in any octave, anywhere: stricter than the rules)."""
        ground = self.plan.ground
        return ground.note[one] == ground.note[other] and ground.tends[one]

    def _wide(self, up: Put, low: Put) -> bool:
        """Whether two upper neighbours are more than an octave apart."""
        dia, upper = self.plan.ground.dia, low.voice == up.voice + 1 and low.voice < self.plan.bass
        return upper and dia[up.sounding] - dia[low.sounding] > OCTAVE

    def _too_wide(self, up: Put, low: Put) -> bool:
        """Whether they are so where the rules forbid it."""
        return self._wide(up, low) and self.plan.law.price("spacing-upper") == FORBIDDEN

    def _off_beat(self, up: Put, low: Put) -> int:
        """Doublings and places that count off the first beat too."""
        plan, ground = self.plan, self.plan.ground
        if self.doubles(up.sounding, low.sounding):
            return FORBIDDEN
        if plan.parts == 2 and ground.dia[up.sounding] - ground.dia[low.sounding] > TWELFTH:
            return FORBIDDEN
        if self._too_wide(up, low):
            return FORBIDDEN
        if self._wide(up, low):
            return plan.taste["wide"]
        return plan.taste["unison-weak"] if up.sounding == low.sounding else 0

    def _echoes(self, up: Put, low: Put, b: int, d: int) -> int:
        """The same perfect interval on the last first beat, or the last half bar, with other notes between."""
        plan, ground, price = self.plan, self.plan.ground, 0
        kinds = plan.species[up.voice] + plan.species[low.voice]
        if not ground.perfect[d][b] or not ("2" in kinds or "3" in kinds or "5" in kinds):
            return 0
        high, deep = self.state.heads[up.voice], self.state.heads[low.voice]
        sort = 5 if ground.perfect[d][b] == 5 else 8
        outer = (up.voice, low.voice) == (0, plan.bass)
        midi, dia = ground.midi, ground.dia
        contrary = (dia[b] - dia[high.pitch]) * (dia[d] - dia[deep.pitch]) < 0
        first = (
            "parallel-3-to-1" if self.moment.slot else "parallel-strong",
            high.down,
            deep.down,
            high.moves + deep.moves,
            max(abs(high.away), abs(deep.away)),
        )
        second = (
            "parallel-3-to-1",
            high.half,
            deep.half,
            high.later + deep.later,
            max(abs(high.half_away), abs(deep.half_away)),
        )
        for rule, a, c, between, away in (first,) if self.moment.slot else (first, second):
            if a < 0 or c < 0 or not between or a == b or c == d:
                continue
            was = ground.perfect[c][a]
            if not was or (5 if was == 5 else 8) != sort or (midi[b] - midi[a]) * (midi[d] - midi[c]) <= 0:
                continue
            worse = plan.law.price(rule, echo_case(contrary or away >= plan.law.number(rule, "leap") - 1, outer))
            if worse == FORBIDDEN:
                return FORBIDDEN
            price += worse
        return price

    def _cross(self, up: Put, low: Put, a: int, b: int, c: int, d: int) -> int:
        ground = self.plan.ground
        for new, own, old, struck in ((b, a, c, up.struck), (d, c, a, low.struck)):
            one, other = ground.tones[new], ground.tones[old]
            if (
                struck
                and one.letter == other.letter
                and one.alter != other.alter
                and ground.tones[own].letter != one.letter
            ):
                outer = (up.voice, low.voice) == (0, self.plan.bass)
                return self.plan.law.price("cross-relation", "outer" if outer else "")
        return 0

    def consonant(self, put: Put, pitch: int, placed: list[Put]) -> bool:
        """Whether a pitch of the voice would agree with everything else placed."""
        ground = self.plan.ground
        for other in placed:
            if other.voice == put.voice:
                continue
            up, low = (pitch, other.sounding) if put.voice < other.voice else (other.sounding, pitch)
            lowest = max(put.voice, other.voice) == self.moment.low
            if not (ground.with_bass if lowest else ground.above)[low][up]:
                return False
        return True
