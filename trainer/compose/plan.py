"""What one search is asked for: voices, their species and compass, the cantus, and where each line is to have its peak."""

from __future__ import annotations

from typing import NamedTuple

from trainer.compose.ground import FORBIDDEN, LEADING, SIXTH, THIRD, Ground
from trainer.compose.taste import taste

CANTUS = "cantus"
EIGHTHS = 8
"""Places in a bar."""


class Voice(NamedTuple):
    """One voice: its species ("cantus", "1" to "5") and compass in MIDI."""

    name: str
    species: str
    low: int
    high: int


class Peak(NamedTuple):
    """Where a line is to have its highest note, and how high (staff position)."""

    bar: int
    dia: int


class Plan:
    """Everything that stays the same while one exercise is sought."""

    def __init__(
        self,
        ground: Ground,
        voices: tuple[Voice, ...],
        cantus: tuple[int, ...],
        peaks: tuple[Peak | None, ...],
        leader: int,
        sevenths: bool = False,
    ) -> None:
        self.ground, self.voices, self.cantus_line = ground, voices, cantus
        self.parts, self.bars = len(voices), len(cantus)
        self.law, self.taste, self.sevenths = ground.law, taste(), sevenths
        # rules that let the leading tone be held over and rise are those of harmony, whose lines go by step
        self.harmony = self.law.price("susp-resolve-down", "retardation") != FORBIDDEN
        self.species = tuple(voice.species for voice in voices)
        self.cantus = self.species.index(CANTUS)
        self.bass = self.parts - 1
        self.moving = tuple(voice for voice in range(self.parts) if self.species[voice] in "2345")
        self.place = tuple(
            0 if voice == self.bass else 1 if self.parts > 2 and self.species[voice] in "1" else 2
            for voice in range(self.parts)
        )
        self.whole_inner = tuple(0 < voice < self.bass and self.species[voice] == "1" for voice in range(self.parts))
        self.leader, self.wanted = leader, self._wanted(leader)
        self.widest = self.law.number("range-tenth", "most") - 1
        self.slots = self._slots()
        self.inside = [[voice.low <= midi <= voice.high for midi in ground.midi] for voice in voices]
        self.reach = [self._reach(voice) for voice in range(self.parts)]
        self.open = [self._open(bar) for bar in range(self.bars)]
        self.closing = [[self._closes(voice, pitch) for pitch in range(len(ground.dia))] for voice in range(self.parts)]
        self.pull = [[self._pull(voice, peaks[voice], bar) for bar in range(self.bars)] for voice in range(self.parts)]
        self.pairs = tuple((upper, lower) for upper in range(self.parts) for lower in range(upper + 1, self.parts))

    def _slots(self) -> tuple[int, ...]:
        """Moments of a bar (in eighths) at which some voice may move."""
        if set(self.species) & {"3", "5"}:
            return (0, 2, 4, 6)
        return (0, 4) if set(self.species) & {"2", "4"} else (0,)

    def _reach(self, voice: int) -> list[list[tuple[int, int]]]:
        """By pitch: where the voice may go from it, with the price of the interval."""
        ground, inside = self.ground, self.inside[voice]
        dear, found = self._leaps(voice), []
        for before in range(len(ground.dia)):
            row = []
            for after in range(len(ground.dia)):
                price = ground.interval(before, after) if inside[after] and inside[before] else FORBIDDEN
                if price == FORBIDDEN:
                    continue
                if abs(ground.dia[after] - ground.dia[before]) > 1:
                    price = price * dear // 100
                row.append((after, price))
            found.append(row)
        return found

    def _leaps(self, voice: int) -> int:
        """What leaps of a voice cost, of a hundred."""
        kind, taste_ = self.species[voice], self.taste
        if kind == "1":
            kind = "bass" if voice == self.bass else "inner" if voice else "soprano"
        if kind == CANTUS or self.parts == 2:
            kind = "soprano" if kind not in "2345" else kind
        if self.harmony:
            kind = "bass-in-harmony" if kind == "bass" else "in-harmony"
        return taste_[f"leap-{kind}"]

    def _open(self, bar: int) -> list[bool]:
        """Which pitches may stand in a bar."""
        ground, last = self.ground, self.bars - 1
        minor = ground.mode.name == "minor"
        found = []
        for number, sort in enumerate(ground.kind):
            usable = True
            if sort in (LEADING, SIXTH):
                usable = bar == last - 1 or (minor and 0 < bar < last)
            elif sort == THIRD:
                usable = bar == last and self.parts > 2
            elif bar == last and ground.degree[number] == 3 and self.parts > 2:
                usable = not self._minor_third() or self.law.price("picardy") != FORBIDDEN
            found.append(usable)
        return found

    def _closes(self, voice: int, pitch: int) -> tuple[bool, bool]:
        """Whether a voice can go from a pitch into the last chord, and whether it can by step."""
        ground, allowed = self.ground, self.open[-1]
        degrees = (1,) if voice == self.bass or self.parts == 2 else (1, 3, 5)
        ends = [
            abs(ground.dia[after] - ground.dia[pitch])
            for after, _ in self.reach[voice][pitch]
            if allowed[after] and ground.degree[after] in degrees and (after != pitch or self.species[voice] == "1")
        ]
        return bool(ends), 1 in ends

    def _minor_third(self) -> bool:
        return THIRD in self.ground.kind

    def _wanted(self, leader: int) -> int:
        """The degree on which the leading voice leaves the last bar but one: 7 to rise, 2 to fall under a rising cantus."""
        before, final = self.cantus_line[-2], self.cantus_line[-1]
        return 2 if leader != self.cantus and self.ground.dia[final] - self.ground.dia[before] == 1 else 7

    def _pull(self, voice: int, peak: Peak | None, bar: int) -> list[int]:
        """What each pitch costs in a bar for the way up to the peak, down again, and into the close."""
        found = self._shape(peak, bar)
        left = self.bars - 2 - bar
        if voice != self.leader or not 0 <= left < 4:
            return found
        ground = self.ground
        goals = [
            ground.dia[number]
            for number, inside in enumerate(self.inside[voice])
            if inside and ground.degree[number] == self.wanted and ground.dia[number] + 1 in ground.dia
        ]
        if not goals:  # a narrow compass may hold no leading degree on this final; the next attempt takes another
            return found
        quick = {"1": 1, "2": 2, "3": 3, "4": 2, "5": 3}[self.species[voice]]
        return [
            price + 2 * self.taste["under-want"] * max(0, min(abs(one - goal) for goal in goals) - quick * (left + 1))
            for price, one in zip(found, ground.dia, strict=True)
        ]

    def leads(self, pitch: int) -> bool:
        """Whether a pitch leads into the final as the leading voice must: a step under it, raised but in Phrygian, or a step over it."""
        ground = self.ground
        if ground.degree[pitch] != self.wanted:
            return False
        tone = ground.tones[pitch]
        return self.wanted == 2 or ground.mode.is_leading(tone) != (ground.mode.name == "phrygian")

    def _shape(self, peak: Peak | None, bar: int) -> list[int]:
        dia, taste_ = self.ground.dia, self.taste
        if peak is None:
            return [0] * len(dia)
        away = abs(bar - peak.bar)
        if away == 0:
            return [max(0, abs(peak.dia - one)) * taste_["under-want"] * 2 for one in dia]
        want = peak.dia - 1 - (away * 3) // 2
        most = peak.dia - (2 if away > 3 else 1)
        return [taste_["under-want"] * max(0, want - one) + taste_["above-cap"] * max(0, one - most) for one in dia]
