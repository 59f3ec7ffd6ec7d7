"""The pitches of one key by small numbers, and what the rules say of any two, three or four of them.

Every judgement is asked of the rule's own function in ``trainer.rules`` and remembered, so that what a line may do while it grows and
what the checker says of it cannot drift apart. A *price* is a whole number of the table of taste, or FORBIDDEN.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.compose.taste import taste
from trainer.rules.intervals import CONSONANT_ABOVE, CONSONANT_WITH_BASS, DIMINISHED_FIFTH, name, perfect, simple
from trainer.rules.melody.altered import minor_wrong
from trainer.rules.melody.leaps import interval_rule
from trainer.rules.melody.successive import recovery_case, two_leaps_case
from trainer.rules.mode import Mode
from trainer.rules.parallels.direct import direct_case
from trainer.rules.parallels.parallel import kind, together
from trainer.rules.registry import all_rules
from trainer.rules.ruleset import RuleSet
from trainer.rules.texture import Move, Tone
from trainer.score.modes import signature_fifths
from trainer.score.pitch import STEPS, Pitch

FORBIDDEN = -1000
OCTAVE = 7
NATURAL, LEADING, SIXTH, THIRD = range(4)
"""What a pitch is: of the signature, the raised seventh degree, the raised sixth, the raised third of the last chord."""

RAISES = frozenset({"dorian", "mixolydian", "aeolian", "minor"})
MINOR_THIRDS = frozenset({"dorian", "phrygian", "aeolian", "minor"})
_SIZES = ("repeat", "step", "third", "fourth", "fifth", "sixth", "sixth", "octave")


class Law:
    """A rule set for so many parts, as prices."""

    def __init__(self, rule_set: RuleSet, parts: int) -> None:
        self.rule_set, self.parts = rule_set, parts
        self._grades = {
            "F": FORBIDDEN,
            "A": taste()["grade-avoid"],
            "S": taste()["grade-style"],
            "-": 0,
        }
        self._known: dict[tuple[str, str], int] = {}

    def price(self, rule: str, case: str = "") -> int:
        """What breaking a rule costs here."""
        known = self._known.get((rule, case))
        if known is None:
            known = self._known[rule, case] = self._grades[self.rule_set.strictness(rule, case, self.parts)]
        return known

    def number(self, rule: str, parameter: str) -> int:
        """A rule's parameter in this set."""
        return self.rule_set.settings(all_rules()[rule]).number(parameter)


def mode_of(final: str, name_: str) -> Mode:
    """The mode called *name_* on *final*, such as dorian on D. Raises ValueError for names that there are not."""
    pitch = Pitch.parse(f"{final}4")
    return Mode(STEPS.index(pitch.step), pitch.alter, name_, signature_fifths(final, name_), True)


class Ground:
    """The pitches from *low* to *high* (MIDI) in a mode, by number, and prices of what they do together.

    Attributes
    ----------
    dia, midi, degree, kind : lists of int, by pitch number
    note : list of int
        Equal for pitches of one letter and sign in whatever octave.
    tends : list of bool
        Whether it is a leading tone or altered, so that no two voices have it at once.
    """

    def __init__(self, mode: Mode, law: Law, low: int, high: int) -> None:
        self.mode, self.law = mode, law
        self.tones: list[Tone] = []
        self.kind: list[int] = []
        for dia in range(7 * (low // 12 - 2), 7 * (high // 12 + 1)):
            self._add(dia, 0, NATURAL, low, high)
        degrees = {7: LEADING} if mode.name in RAISES else {}
        if mode.name in ("minor", "aeolian"):
            degrees[6] = SIXTH
        if mode.name in MINOR_THIRDS:
            degrees[3] = THIRD
        for dia in range(7 * (low // 12 - 2), 7 * (high // 12 + 1)):
            degree = (dia - mode.letter) % 7 + 1
            if degree in degrees:
                self._add(dia, 1, degrees[degree], low, high)
        tones = self.tones
        self.dia = [tone.dia for tone in tones]
        self.midi = [tone.midi for tone in tones]
        self.degree = [mode.degree(tone) for tone in tones]
        self.note = [tone.letter * 8 + tone.alter + 3 for tone in tones]
        self.tends = [
            mode.is_leading(tone) or sort == LEADING or (sort == SIXTH and mode.name != "minor")
            for tone, sort in zip(tones, self.kind, strict=True)
        ]
        self.altered_letters = {tone.letter for tone, sort in zip(tones, self.kind, strict=True) if sort}
        self.with_bass = [[simple(low_, up) in CONSONANT_WITH_BASS for up in tones] for low_ in tones]
        self.above = [[simple(low_, up) in CONSONANT_ABOVE for up in tones] for low_ in tones]
        self.perfect = [[perfect(low_, up) for up in tones] for low_ in tones]
        self.diminished = [[simple(low_, up) == DIMINISHED_FIFTH for up in tones] for low_ in tones]
        self._motions: dict[tuple[int, int, int, int, int], int] = {}
        self._turns: dict[tuple[int, int, int, int], int] = {}
        self._outlines: dict[tuple[int, int, bool], int] = {}

    def _add(self, dia: int, raised: int, sort: int, low: int, high: int) -> None:
        letter, octave = dia % 7, dia // 7
        alter = self.mode.natural(letter) + raised
        if not -2 <= alter <= 2:
            return
        midi = Pitch(STEPS[letter], alter, octave).midi
        if low <= midi <= high:
            self.tones.append(Tone(0, 0, 0, 0, midi, dia, letter, alter))
            self.kind.append(sort)

    def pitch(self, number: int) -> Pitch:
        """The written pitch."""
        tone = self.tones[number]
        return Pitch(STEPS[tone.letter], tone.alter, tone.dia // 7)

    def number(self, pitch: Pitch) -> int | None:
        """The number of a pitch, None when the key has it not."""
        for index, tone in enumerate(self.tones):
            if (tone.dia, tone.midi) == (pitch.diatonic, pitch.midi):
                return index
        return None

    def interval(self, before: int, after: int) -> int:
        """Price of one melodic interval."""
        letters = abs(self.dia[after] - self.dia[before])
        rule = interval_rule(self.tones[before], self.tones[after])
        broken = 0
        if rule:
            case = "minor-down" if name(self.tones[before], self.tones[after]) == "m6" else ""
            broken = self.law.price(rule, case)
        if broken == FORBIDDEN or letters > 7:
            return FORBIDDEN
        return broken + taste()[_SIZES[letters]]

    def turn(self, a: int, p: int, q: int, place: int) -> int:
        """Price of three notes running (*a* -1 for none). *place*: 0 the lowest voice, 1 whole notes of three parts or more, 2 else."""
        key = (a, p, q, place)
        known = self._turns.get(key)
        if known is None:
            known = self._turns[key] = self._turn(a, p, q, place)
        return known

    def _turn(self, a: int, p: int, q: int, place: int) -> int:
        price, law, tones = 0, self.law, self.tones
        prices = []
        if self.mode.name == "minor" and self.degree[p] in (6, 7):
            before = tones[a] if a >= 0 else None
            if minor_wrong(self.mode, before, tones[p], tones[q]):
                prices.append(law.price("minor-6-7"))
        if a >= 0:
            one, two = self.dia[p] - self.dia[a], self.dia[q] - self.dia[p]
            if abs(one) > 1 and abs(two) > 1:
                if one * two > 0:
                    prices.append(law.price("two-leaps-same-way", two_leaps_case(one, two, place == 0)))
                prices.append(taste()["leap-again"])
            if law.number("leap-recovery", "from") - 1 <= abs(one) <= 7 and two * one != -abs(one):
                prices.append(law.price("leap-recovery", recovery_case(one, two, place == 1)))
            if q == a and one:
                prices.append(taste()["turn-back"])
        if FORBIDDEN in prices:
            return FORBIDDEN
        return price + sum(prices)

    def outline(self, first: int, last: int, whole_inner: bool) -> int:
        """Price of a run of three notes or more from *first* to *last*."""
        key = (first, last, whole_inner)
        known = self._outlines.get(key)
        if known is None:
            called = name(self.tones[first], self.tones[last])
            case = "diminished-fifth" if called == "d5" else "whole-inner" if whole_inner else ""
            known = self.law.price("tritone-outline", case) if called in ("A4", "d5") else 0
            self._outlines[key] = known
        return known

    def motion(self, a: int, b: int, c: int, d: int, pair: int) -> int:
        """Price of two voices moving into a perfect interval: upper *a* to *b*, lower *c* to *d*.

        *pair*: 2 for top voice and bass, 1 for the bass and another, 0 for upper voices.
        """
        key = (a, b, c, d, pair)
        known = self._motions.get(key)
        if known is None:
            known = self._motions[key] = self._motion(a, b, c, d, pair)
        return known

    def _motion(self, a: int, b: int, c: int, d: int, pair: int) -> int:
        tones, law = self.tones, self.law
        move = Move(tones[a], tones[b], tones[c], tones[d], 0, 1)
        sort, way, into = kind(move), together(move), self.perfect[d][b]
        if sort and way > 0:
            return law.price({5: "parallel-fifth", 8: "parallel-octave", 1: "parallel-unison"}[sort])
        if sort:
            return law.price("antiparallel-fifth" if sort == 5 else "antiparallel-octave")
        if way <= 0:
            return 0
        if into == 1:
            return law.price("direct-unison")
        case = direct_case(abs(self.dia[b] - self.dia[a]) > 1, abs(self.dia[d] - self.dia[c]) > 1, pair == 2)
        price = law.price("direct-fifth" if into == 5 else "direct-octave", case)
        if into == 5 and self.diminished[c][a] and tones[b].midi > tones[a].midi and price != FORBIDDEN:
            worse = law.price("parallel-fifth", "diminished-with-bass" if pair else "diminished-above")
            price = FORBIDDEN if worse == FORBIDDEN else price + worse
        return price

    def of_key(self, pitches: Sequence[Pitch]) -> list[int]:
        """Numbers of *pitches*. Raises KeyError with the first that the key or the compass has not."""
        found = []
        for pitch in pitches:
            number = self.number(pitch)
            if number is None:
                raise KeyError(str(pitch))
            found.append(number)
        return found
