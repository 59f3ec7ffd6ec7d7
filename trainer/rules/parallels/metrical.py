"""Parallels that the ear hears from accent to accent though other notes lie between."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import NamedTuple

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.intervals import CONSONANT_WITH_BASS, perfect_class, simple
from trainer.rules.piece import Piece
from trainer.rules.texture import Texture, Tone

_WORDS = {5: "fifths", 8: "octaves"}
_MOVING = frozenset({"2", "3", "5"})
_CASES = {
    "inner": "with an inner voice",
    "saved": "contrary motion into the second, or a leap away from the first",
}


class Echo(NamedTuple):
    """One perfect interval over two moments with other notes between: upper a then b, lower c then d."""

    a: Tone
    b: Tone
    c: Tone
    d: Tone
    at: int
    to: int

    @property
    def same_way(self) -> bool:
        """Whether both voices end on the same side of where they were."""
        return (self.b.midi - self.a.midi) * (self.d.midi - self.c.midi) > 0

    @property
    def struck(self) -> bool:
        """Whether both voices begin their second note at the second moment."""
        return self.b.on == self.d.on == self.to

    def told(self, case: str) -> Fault:
        """The fault of this place."""
        words = _WORDS[perfect_class(self.a, self.c)]
        says = f"{self.a.name}/{self.c.name} and then {self.b.name}/{self.d.name}: {words} from accent to accent"
        return Fault(self.at, self.to, (self.a, self.c, self.b, self.d), says, case)


def echoes(texture: Texture, moments: list[tuple[int, int]]) -> Iterator[Echo]:
    """The same perfect interval at both moments, both voices changed, and some note begun between."""
    for at, to in moments:
        first, second = texture.slice_at(at), texture.slice_at(to)
        if first is None or second is None:
            continue
        for upper, lower in texture.pairs:
            a, c, b, d = first.tones[upper], first.tones[lower], second.tones[upper], second.tones[lower]
            if a is None or b is None or c is None or d is None or a.midi == b.midi or c.midi == d.midi:
                continue
            found = perfect_class(a, c)
            between = b.place - a.place > (b.on == to) or d.place - c.place > (d.on == to)
            if found and between and found == perfect_class(b, d):
                yield Echo(a, b, c, d, at, to)


def _case(piece: Piece, echo: Echo, leap: int) -> str:
    lines, saved = piece.texture.lines, False
    into = []
    for first, last in ((echo.a, echo.b), (echo.c, echo.d)):
        line = lines[first.voice]
        into.append(last.midi - line[last.place - 1].midi)
        moving = last.place - first.place > 1
        saved = saved or (moving and abs(line[first.place + 1].dia - first.dia) >= leap)
    return echo_case(saved or into[0] * into[1] < 0, piece.outer(echo.a.voice, echo.c.voice))


def echo_case(saved: bool, outer: bool) -> str:
    """The case of the same perfect interval again on an accent: saved by a leap or by contrary motion, else by the voices."""
    return "saved" if saved else "" if outer else "inner"


def _asked(piece: Piece, echo: Echo, species: frozenset[str]) -> bool:
    return bool({piece.species[echo.a.voice], piece.species[echo.c.voice]} & species)


def _accented(piece: Piece, settings: Settings, moments: list[tuple[int, int]]) -> Iterator[Fault]:
    leap = settings.number("leap") - 1
    for echo in echoes(piece.texture, moments):
        if echo.same_way and echo.struck and _asked(piece, echo, _MOVING):
            yield echo.told(_case(piece, echo, leap))


def _strong(piece: Piece, settings: Settings) -> Iterator[Fault]:
    bars = piece.texture.bars
    moments = [(bar.on, after.on) for bar, after in itertools.pairwise(bars)]
    yield from _accented(piece, settings, moments)


def _halves(piece: Piece, settings: Settings) -> Iterator[Fault]:
    moments = []
    for bar in piece.texture.bars:
        if not bar.triple:
            middle = bar.on + 2 * bar.grid
            moments += [(bar.on, middle), (middle, bar.on + 4 * bar.grid)]
    yield from _accented(piece, settings, moments)


def _afterbeat(piece: Piece, settings: Settings) -> Iterator[Fault]:
    bars = [bar for bar in piece.texture.bars if not bar.triple]
    moments = [
        (bar.on + 2 * bar.grid, after.on + 2 * after.grid)
        for bar, after in itertools.pairwise(bars)
        if bar.end == after.on
    ]
    ties: list[Echo] = []
    for echo in echoes(piece.texture, moments):
        line = max(echo.to - echo.b.on, echo.to - echo.d.on)
        if not echo.same_way:
            continue
        first = [tone for tone in (echo.a, echo.c) if tone.on == echo.at]
        second = [tone for tone in (echo.b, echo.d) if tone.on == echo.to]
        if not first or not second or line == 0:
            continue
        tied = [tone for tone in first if _tied(piece.texture, tone)]
        chain = tied and any(tone.voice == tied[0].voice and _tied(piece.texture, tone) for tone in second)
        if not tied:
            if _asked(piece, echo, frozenset({"2"})):
                yield echo.told("")
        elif chain and _consonant_tie(piece.texture, tied[0]) and _asked(piece, echo, frozenset({"4", "5"})):
            ties.append(echo)
    yield from _chained(ties)


def _chained(ties: list[Echo]) -> Iterator[Fault]:
    """Perfects behind ties; two pairs running are a chain."""
    joints = {(echo.a, echo.c) for echo in ties} & {(echo.b, echo.d) for echo in ties}
    for echo in ties:
        name = "tied-fifth" if perfect_class(echo.a, echo.c) == 5 else "tied-octave"
        chain = (echo.a, echo.c) in joints or (echo.b, echo.d) in joints
        yield echo.told(f"{name}s" if chain else name)


def _tied(texture: Texture, tone: Tone) -> bool:
    return tone.end > _line_after(texture, tone.on)


def _line_after(texture: Texture, at: int) -> int:
    return texture.bar_at(at).end


def _consonant_tie(texture: Texture, tone: Tone) -> bool:
    """Whether a tie is no suspension: its second half agrees with the lowest voice."""
    bass = texture.bass_at(_line_after(texture, tone.on))
    return bass is None or simple(tone, bass) in CONSONANT_WITH_BASS


_ADVICE = "take a third or sixth at one of the two places, or lead the voices against each other into the second"
_YIELDS = ("parallel-fifth", "parallel-octave", "parallel-unison", "antiparallel-fifth", "antiparallel-octave")

RULES = (
    Rule(
        id="parallel-strong",
        sentence="Two voices do not have fifths, or octaves, on the first beats of two bars running.",
        advice=_ADVICE,
        source="Rockstro 1883; Cherubini 1835; Bridge, Counterpoint, chapter 7 (a leap of a fourth saves); Lehmann, lesson VI",
        find=_strong,
        species=_MOVING,
        cases=_CASES,
        parameters={"leap": "4"},
        yields_to=_YIELDS,
        bad=("species: 2; cantus: bass; sing: soprano :: A4 F | B G | C5 // D4 | E | C",),
        good=(
            "species: 2; cantus: bass; sing: soprano :: A4 F | G B | C5 // D4 | E | C",
            "species: 1; cantus: bass; sing: soprano :: A4 | G | C5 // D4 | E | C",
        ),
    ),
    Rule(
        id="parallel-3-to-1",
        sentence="Fifths, or octaves, do not stand on both accented beats of a bar, nor on the second of them and the next bar.",
        advice=_ADVICE,
        source="Rockstro 1883, p. 743",
        find=_halves,
        species=_MOVING,
        cases=_CASES,
        parameters={"leap": "4"},
        yields_to=_YIELDS,
        bad=("species: 3; cantus: bass; sing: soprano :: A4 B C5 D | B A G F | E // F4 | E | C",),
        good=("species: 3; cantus: bass; sing: soprano :: A4 C5 B A | B A G F | E // F4 | E | C",),
    ),
    Rule(
        id="parallel-afterbeat",
        sentence="Fifths, or octaves, from weak half to weak half are heard as parallels behind the strong beat.",
        advice="change one of the weak halves to a third or sixth",
        source="Rockstro 1883 (tolerated in distress); behind ties: Lehmann, lesson VI, and a university grading guide",
        find=_afterbeat,
        species=frozenset({"2", "4", "5"}),
        yields_to=("susp-chain-perfect",),
        cases={
            "tied-fifth": "fifths behind two consonant ties",
            "tied-fifths": "behind three or more",
            "tied-octave": "octaves behind two consonant ties",
            "tied-octaves": "behind three or more",
        },
        bad=(
            "species: 2; cantus: bass; sing: soprano :: F4 A | G B | C5 // D4 | E | C",
            "species: 4; cantus: bass; sing: soprano :: . A4 | - G | - F | E // D4 | C | A3 | C",
        ),
        good=("species: 2; cantus: bass; sing: soprano :: A4 F | G B | C5 // D4 | E | C",),
    ),
)
