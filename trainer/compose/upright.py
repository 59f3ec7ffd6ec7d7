"""All voices at a first beat: the chord, its suspensions, all of them going one way, the close."""

from __future__ import annotations

from trainer.compose.choices import TIE
from trainer.compose.ground import FORBIDDEN
from trainer.compose.plan import CANTUS, Plan
from trainer.compose.state import Moment, Put, State
from trainer.rules.chord import chord_of
from trainer.rules.chords.fullness import full
from trainer.rules.place.together import leap_case
from trainer.rules.registry import all_rules
from trainer.rules.suspension import figure_of

FIFTH, OCTAVE = 5, 7
"""A perfect interval's word in the rules; letters."""


class Upright:
    """Prices of chords after one state."""

    def __init__(self, plan: Plan, state: State, moment: Moment) -> None:
        self.plan, self.state, self.moment = plan, state, moment

    def price(self, placed: list[Put]) -> int:
        """What stands on the first beat, all voices together."""
        plan, ground, taste = self.plan, self.plan.ground, self.plan.taste
        price = self._suspended(placed)
        if price == FORBIDDEN:
            return FORBIDDEN
        bass = next((put for put in placed if put.voice == self.moment.low), None)
        if bass is None:
            return price
        if self.moment.bar == plan.bars - 1:
            more = self._closes(placed)
            return FORBIDDEN if more == FORBIDDEN else price + more
        over = frozenset((ground.dia[put.meant] - ground.dia[bass.meant]) % 7 for put in placed)
        if plan.parts == 2:
            return price + (
                0 if over & {2, 5} or not self.moment.bar else taste["fifth-between" if 4 in over else "octave-between"]
            )
        if self.moment.bar and len(placed) == plan.parts:
            if not over & {2, 5}:
                worse = plan.law.price("third-present")
                if worse == FORBIDDEN:
                    return FORBIDDEN
                price += taste["no-third"]
            elif not full(over):
                if "4" in plan.species and plan.law.price("chord-complete", "fourth-species") == FORBIDDEN:
                    return FORBIDDEN
                price += taste["incomplete" if plan.parts > 3 else "incomplete-three"]
            if 5 in over:
                among = "-in-harmony" if plan.harmony else "" if plan.parts > 3 else "-three"
                price += taste[f"six-chord{among}"]
            thirds = sum((ground.dia[put.meant] - ground.dia[bass.meant]) % 7 == 2 for put in placed)
            if thirds > 1 and 5 not in over:
                price += taste["third-doubled"]
            if 5 in over and sum(ground.note[put.meant] == ground.note[bass.meant] for put in placed) > 1:
                price += taste["bass-of-six-doubled"]
            more = self._one_way(placed)
            return FORBIDDEN if more == FORBIDDEN else price + more
        return price

    def seventh(self, placed: list[Put]) -> Put | None:
        """The voice that has the seventh of a lawful chord of the seventh, None where the chord is none."""
        plan, ground = self.plan, self.plan.ground
        tones = [ground.tones[put.sounding] for put in placed]
        chord = chord_of(tones, tones[[put.voice for put in placed].index(self.moment.low)])
        if chord is None or chord.seventh is None or not all(put.struck for put in placed):
            return None
        members = set(chord.members.values())
        whole = members == {1, 3, 5, 7} or (members == {1, 3, 7} and not chord.inversion)
        settings = plan.law.rule_set.settings(all_rules()["seventh-kinds"])
        degree = str((chord.root - ground.mode.letter) % 7 + 1)
        having = [put for put, tone in zip(placed, tones, strict=True) if tone.letter == chord.seventh]
        if not whole or degree not in settings.words("degrees") or len(having) != 1:
            return None
        put = having[0]
        move = ground.dia[put.sounding] - ground.dia[self.state.heads[put.voice].pitch]
        way = "held" if move == 0 else "step" if abs(move) == 1 else ""
        if way not in plan.law.rule_set.settings(all_rules()["seventh-prep"]).words("ways"):
            return None
        if put.voice == plan.cantus:
            after = plan.cantus_line[self.moment.bar + 1]
            return put if ground.dia[after] == ground.dia[put.sounding] - 1 else None
        return put if plan.species[put.voice] == "1" else None

    def _suspended(self, placed: list[Put]) -> int:
        """Every tie that clashes: its figure, and no other voice on its note or its resolution."""
        plan, ground, price, count = self.plan, self.plan.ground, 0, 0
        for put in placed:
            if put.act is None or put.act[0] != TIE or put.act[2] < 0:
                continue
            count += 1
            against = self._clashing(put, placed)
            if not against or not self._stays(put, against):
                return FORBIDDEN
            low = next(other for other in placed if other.voice == self.moment.low)
            tones = ground.tones
            struck = tuple(tones[other.sounding] for other in against)
            figure = figure_of(tones[put.sounding], struck, tones[low.sounding], "")
            case = f"bass-{figure}" if put.voice == self.moment.low else figure
            for worse in (plan.law.price("susp-figure", case), self._chained(put, placed)):
                if worse == FORBIDDEN:
                    return FORBIDDEN
                price += worse
        if count > 1:
            worse = plan.law.price("double-suspension")
            return FORBIDDEN if worse == FORBIDDEN else price + worse
        return price

    def _clashing(self, put: Put, placed: list[Put]) -> list[Put]:
        """The voices that a tied note clashes with; none where another voice has its note or its resolution."""
        ground, against = self.plan.ground, []
        for other in placed:
            if other is put:
                continue
            lowest = max(put.voice, other.voice) == self.moment.low
            up, down = (put, other) if put.voice < other.voice else (other, put)
            if not (ground.with_bass if lowest else ground.above)[down.sounding][up.sounding]:
                against.append(other)
            if ground.note[other.sounding] == ground.note[put.sounding]:
                return []
            if ground.note[other.sounding] == ground.note[put.meant]:
                far = ground.dia[put.sounding] - ground.dia[other.sounding]
                if other.voice != self.moment.low or far < OCTAVE:
                    return []
        return against

    def _stays(self, put: Put, against: list[Put]) -> bool:
        """Whether what clashes waits for the resolution: the bass, or one other in whole notes; in strict rules all but quarters."""
        plan = self.plan
        low = [other for other in against if other.voice == self.moment.low]
        if not any(plan.species[other.voice] in (CANTUS, "1") for other in low or against):
            return False
        strict = plan.law.price("susp-bass-still", "at-resolution") == FORBIDDEN
        return not (strict and any(plan.species[other.voice] in "25" for other in against))

    def _chained(self, put: Put, placed: list[Put]) -> int:
        """Price of perfect intervals that two suspensions running only delay."""
        ground, head = self.plan.ground, self.state.heads[put.voice]
        if head.fell != self.moment.bar - 1:
            return 0
        price = 0
        for other in placed:
            low, high, start, end = self.state.heads[other.voice].down, other.sounding, head.half, put.meant
            if (
                other is put
                or low < 0
                or (ground.dia[end] - ground.dia[start]) * (ground.dia[high] - ground.dia[low]) <= 0
            ):
                continue
            up = other.voice > put.voice
            before, now = (ground.perfect[x][y] if up else ground.perfect[y][x] for x, y in ((low, start), (high, end)))
            if before and now and (before == FIFTH) == (now == FIFTH):
                worse = self.plan.law.price("susp-chain-perfect", "fifth" if now == FIFTH else "octave")
                if worse == FORBIDDEN:
                    return FORBIDDEN
                price += worse
        return price

    def _one_way(self, placed: list[Put]) -> int:
        """All voices going the same way."""
        plan, ground = self.plan, self.plan.ground
        moves = [
            ground.dia[put.sounding] - ground.dia[self.state.heads[put.voice].pitch] for put in placed if put.struck
        ]
        if len(moves) < plan.parts or len({(move > 0) - (move < 0) for move in moves}) > 1 or not moves[0]:
            return 0
        if all(abs(move) == 1 for move in moves):
            return plan.taste["similar"]
        sizes = [
            abs(ground.dia[put.sounding] - ground.dia[self.state.heads[put.voice].pitch]) for put in sorted(placed)
        ]
        return plan.law.price("all-same-way", leap_case(sizes, plan.cantus))

    def _closes(self, placed: list[Put]) -> int:
        """The last step: a voice rises into the final, its leading tone a semitone below; the leading tone goes nowhere else."""
        plan, ground = self.plan, self.plan.ground
        mode, rising, falling, price = ground.mode, False, False, 0
        for put in placed:
            head = self.state.heads[put.voice]
            before = head.pitch
            final = ground.degree[put.sounding] == 1
            move = ground.dia[put.sounding] - ground.dia[before]
            if final and move == 1:
                semitones = ground.midi[put.sounding] - ground.midi[before]
                if (semitones == 1) == (mode.name == "phrygian"):
                    return FORBIDDEN
                rising = True
            elif mode.is_leading(ground.tones[before]):
                return FORBIDDEN
            if move * head.came > 0 and head.run > 1:
                outline = ground.outline(head.first, put.sounding, plan.whole_inner[put.voice])
                if outline == FORBIDDEN:
                    return FORBIDDEN
                price += outline
            falling = falling or (final and move == -1)
        if plan.parts == 2:
            return 0 if rising and falling else FORBIDDEN
        if not rising:
            bass = self.state.heads[plan.bass].pitch
            if not (mode.name == "phrygian" and ground.degree[bass] == 4):
                worse = plan.law.price("clausula", "no-leading-tone")
                if worse == FORBIDDEN:
                    return FORBIDDEN
                price += worse
        letters = {ground.degree[put.sounding] for put in placed}
        return price + (0 if 3 in letters else 4)
