"""Planting one fault in a figure of Fux's.

A recipe looks at a figure (a ``Ground``) and says, note by note, what to write where and which rule that breaks at which moment: it is
reasoned from the rule, and nothing here looks at what any checker answers about the planted rule. ``keep`` only asks the second checker
that the twin is lawful and that nothing *else* in the faulty exercise is forbidden; whether it sees the planted fault is not asked.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from fault_vectors import LETTERS, NATURAL, PlainNote, Vector, scale
from second_checker import Finding, Piece, check

BAR = 4


@dataclass(frozen=True)
class Spot:
    """One note of the ground, with its neighbours a call away."""

    voice: int
    index: int
    onset: Fraction
    length: Fraction
    name: str

    @property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def place(self) -> int:
        return LETTERS.index(self.name[0]) + 7 * int(self.name[-1])

    @property
    def midi(self) -> int:
        return (
            NATURAL[LETTERS.index(self.name[0])]
            + self.name.count("#")
            - self.name.count("b")
            + 12 * int(self.name[-1])
            + 12
        )

    @property
    def beat(self) -> Fraction:
        return self.onset % BAR + 1

    @property
    def bar(self) -> int:
        return int(self.onset // BAR)


@dataclass(frozen=True)
class Ground:
    """A lawful exercise to plant in."""

    name: str
    mode: str
    species: tuple[str, ...]
    lines: tuple[tuple[PlainNote, ...], ...]
    names: tuple[str, ...] = ()

    @property
    def parts(self) -> int:
        return len(self.lines)

    @cached_property
    def spots(self) -> tuple[tuple[Spot, ...], ...]:
        return tuple(tuple(Spot(v, i, *note) for i, note in enumerate(line)) for v, line in enumerate(self.lines))

    @cached_property
    def scale(self) -> tuple[int, ...]:
        return scale(self.mode)

    @cached_property
    def end(self) -> Fraction:
        return max(line[-1].end for line in self.spots)

    @property
    def bars(self) -> int:
        return int(self.end // BAR)

    def at(self, voice: int, moment: Fraction | int) -> Spot | None:
        return next((s for s in self.spots[voice] if s.onset <= moment < s.end), None)

    def after(self, spot: Spot, steps: int = 1) -> Spot | None:
        k = spot.index + steps
        return self.spots[spot.voice][k] if 0 <= k < len(self.spots[spot.voice]) else None

    def pitch(self, where: int, alter: int = 0) -> str:
        """Name of a staff place in the mode, altered by so many semitones."""
        total = self.scale[where % 7] + alter
        return LETTERS[where % 7] + ("#" * total if total > 0 else "b" * -total) + str(where // 7)

    def movable(self) -> list[Spot]:
        """Notes of all voices but the cantus."""
        return [s for v, line in enumerate(self.spots) if self.species[v] != "cantus" for s in line]

    def quick(self, voice: int) -> bool:
        return self.species[voice] in {"2", "3", "4", "5"}

    def below(self, moment: Fraction | int, *, but: int = -1) -> Spot | None:
        """The lowest note that sounds, one voice left out."""
        notes = [s for v in range(self.parts) if v != but and (s := self.at(v, moment)) is not None]
        return min(notes, key=lambda s: (s.midi, -s.voice), default=None)

    def written(self, edits: Edits) -> tuple[tuple[PlainNote, ...], ...]:
        """The lines with some notes replaced by others of the same total length."""
        made = []
        for v, line in enumerate(self.spots):
            notes: list[PlainNote] = []
            for spot in line:
                at = spot.onset
                for name, length in edits.get((v, spot.index), ((spot.name, spot.length),)):
                    if name != "r":
                        notes.append((at, length, name))
                    at += length
            made.append(joined(notes))
        return tuple(made)


Edits = dict[tuple[int, int], tuple[tuple[str, Fraction], ...]]


def joined(notes: list[PlainNote]) -> tuple[PlainNote, ...]:
    """Notes marked as held on (a name that begins with ~) become part of the one before."""
    found: list[PlainNote] = []
    for onset, length, name in notes:
        if name.startswith("~"):
            before, long, same = found[-1]
            found[-1] = (before, long + length, same)
        else:
            found.append((onset, length, name))
    return tuple(found)


def put(*changes: tuple[Spot, str]) -> Edits:
    """Other pitches in place of notes."""
    return {(s.voice, s.index): ((name, s.length),) for s, name in changes}


@dataclass(frozen=True)
class Plant:
    """What a recipe wants written, and where its fault stands (quarters from the start)."""

    edits: Edits
    start: Fraction | int
    end: Fraction | int
    voices: tuple[int, ...]
    twin: Edits = field(default_factory=dict)


Grow = Callable[[Ground, str], Iterator[Plant]]


@dataclass(frozen=True)
class Recipe:
    """One way to break one rule."""

    rule: str
    sentence: str
    source: str
    grow: Grow
    sets: tuple[str, ...]
    also: tuple[str, ...] = ()  # narrower or wider names of the same event, which may be told beside it


def place_of(moment: Fraction | int) -> tuple[int, Fraction]:
    return int(moment // BAR) + 1, Fraction(moment) % BAR + 1


def piece(ground: Ground, lines: tuple[tuple[PlainNote, ...], ...], rules: str) -> Piece:
    final, word = ground.mode.split()
    return Piece(lines, ground.species, rules, final, ground.scale, word == "minor", ground.names)


def overlaps(finding: Finding, plant: Plant) -> bool:
    start, end = place_of(plant.start), place_of(plant.end)
    return (finding.bar, finding.beat) <= end and (finding.to_bar, finding.to_beat) >= start


def keep(recipe: Recipe, ground: Ground, plant: Plant, rules: str) -> bool:
    """Whether the twin is lawful and nothing but the planted event is forbidden."""
    faulty = ground.written(plant.edits)
    if not sound(faulty):
        return False
    if recipe.rule != "susp-chain-perfect" and disputed(replace(ground, lines=faulty), rules):
        return False
    if recipe.rule != "repeated-note" and repeats(faulty) > repeats(ground.lines):
        return False  # a note struck twice would be an event of its own
    for finding in check(piece(ground, faulty, rules)):
        if finding.rule not in (recipe.rule, *recipe.also) or not overlaps(finding, plant):
            return False
    lawful = ground.written(plant.twin)
    return lawful == ground.lines or (sound(lawful) and not check(piece(ground, lawful, rules)))


def repeats(lines: tuple[tuple[PlainNote, ...], ...]) -> int:
    return sum(a[2] == b[2] and a[0] + a[1] == b[0] for line in lines for a, b in pairwise(line))


def disputed(ground: Ground, rules: str) -> bool:
    """Whether the later schools differ about something in an exercise.

    Octaves on the third quarters of two bars, behind ties, are by some only to be avoided and by some forbidden.
    """
    if rules == "strict16":
        return False
    for upper in range(ground.parts):
        for lower in range(upper + 1, ground.parts):
            for bar in range(ground.bars - 1):
                a1, b1, a2, b2 = (ground.at(v, bar * 4 + at) for at in (2, 6) for v in (upper, lower))
                if a1 and a2 and b1 and b2 and a1.name != a2.name and b1.name != b2.name:
                    tied = any(s.onset == bar * 4 + 2 and s.end > bar * 4 + 4 for s in (a1, b1))
                    if tied and (a1.place - b1.place) % 7 == 0 == (a2.place - b2.place) % 7:
                        return True
    return False


def sound(lines: tuple[tuple[PlainNote, ...], ...]) -> bool:
    """Whether every pitch could be sung at all."""
    return all("1" < name[-1] < "7" for line in lines for _, _, name in line)


def text(lines: tuple[tuple[PlainNote, ...], ...], end: Fraction) -> tuple[str, ...]:
    """Lines in the notation of the vectors."""
    return tuple(line_text(line, end) for line in lines)


VALUES = {
    Fraction(4): "w",
    Fraction(3): "h.",
    Fraction(2): "h",
    Fraction(3, 2): "q.",
    Fraction(1): "q",
    Fraction(1, 2): "e",
}


def line_text(line: tuple[PlainNote, ...], end: Fraction) -> str:
    bars: list[list[str]] = [[] for _ in range(int(end // BAR))]
    at = Fraction(0)
    for onset, length, name in (*line, (end, Fraction(0), "r")):
        if onset > at:
            cut("r", at, onset, bars)
        if length:
            cut(name, onset, onset + length, bars)
        at = onset + length
    return " | ".join(" ".join(bar) for bar in bars)


def cut(name: str, at: Fraction, stop: Fraction, bars: list[list[str]]) -> None:
    """One note over as many bars and values as it needs, tied."""
    while at < stop:
        room = min(stop, (at // BAR + 1) * BAR) - at
        value = max(v for v in VALUES if v <= room)
        tie = "~" if at + value < stop and name != "r" else ""
        bars[int(at // BAR)].append(f"{name}{VALUES[value]}{tie}")
        at += value


KEYS = ((0, 0), (1, 2), (-1, -2), (3, 5), (-3, -5), (2, 3), (-4, -7))
"""Transpositions, as staff places and semitones: none, a tone up or down, a fourth up or down, a minor third up, a fifth down."""


def transposed(vector: Vector, by: tuple[int, int]) -> Vector:
    import re

    def move(match: re.Match[str]) -> str:
        return shifted(match[0], by)

    pattern = re.compile(r"[A-G][#b]*\d")
    final, word = vector.mode.split()
    lines = tuple(pattern.sub(move, line) for line in vector.lines)
    twin = tuple(pattern.sub(move, line) for line in vector.twin)
    return replace(vector, lines=lines, twin=twin, mode=f"{shifted(final + '4', by)[:-1]} {word}")


def shifted(name: str, by: tuple[int, int]) -> str:
    spot = Spot(0, 0, Fraction(0), Fraction(1), name)
    place, midi = spot.place + by[0], spot.midi + by[1]
    alter = midi - NATURAL[place % 7] - 12 * (place // 7) - 12
    return LETTERS[place % 7] + ("#" * alter if alter > 0 else "b" * -alter) + str(place // 7)


def simple_signs(vector: Vector) -> bool:
    return (
        all(abs(a) < 2 for a in scale(vector.mode))
        and "##" not in "".join(vector.lines)
        and "bb" not in "".join(vector.lines)
    )


def harvest(recipe: Recipe, grounds: list[Ground], rules: str, wanted: int) -> list[Vector]:
    """Vectors of one recipe under one rule set, from as many kinds of ground as there are, each moved to a key of its own."""
    rng = random.Random(f"{recipe.rule} {recipe.sentence} {rules}")
    shuffled = list(grounds)
    rng.shuffle(shuffled)
    by_parts = [[g for g in shuffled if g.parts == n] for n in (2, 3, 4)]
    turns = [g for row in zip_longest_lists(by_parts) for g in row]
    waiting = {id(ground): iter(shuffled_plants(recipe, ground, rules, rng)) for ground in turns}
    found: list[Vector] = []
    for _ in range(3):  # a second and third site of the same ground only when there are too few grounds
        for ground in turns:
            if len(found) == wanted:
                return found
            for plant in waiting[id(ground)]:
                if keep(recipe, ground, plant, rules):
                    found.append(vector(recipe, ground, plant, rules, rng))
                    break
    return found


def decorated(recipe: Recipe, grounds: list[Ground], rules: str, wanted: int) -> list[Vector]:
    """Lawful exercises that show what the recipe describes; the second checker is asked only that they are lawful."""
    rng = random.Random(f"{recipe.rule} {recipe.sentence} {rules}")
    shuffled = list(grounds)
    rng.shuffle(shuffled)
    found: list[Vector] = []
    for ground in (
        g for row in zip_longest_lists([[g for g in shuffled if g.parts == n] for n in (2, 3, 4)]) for g in row
    ):
        if len(found) == wanted:
            break
        for plant in shuffled_plants(recipe, ground, rules, rng):
            lines = ground.written(plant.edits)
            twice = (
                repeats(lines) > repeats(ground.lines)
                and "solution" not in recipe.rule
                and "restruck" not in recipe.rule
            )
            if (
                sound(lines)
                and not twice
                and not disputed(replace(ground, lines=lines), rules)
                and not check(piece(ground, lines, rules))
            ):
                made = vector(recipe, ground, plant, rules, rng)
                bar, beat = place_of(plant.start)
                found.append(replace(made, rule="", twin=(), shows=f"{recipe.rule} at bar {bar} quarter {beat}"))
                break
    return found


def shuffled_plants(recipe: Recipe, ground: Ground, rules: str, rng: random.Random) -> list[Plant]:
    plants = list(recipe.grow(ground, rules))
    rng.shuffle(plants)
    return plants[:150]


def zip_longest_lists(lists: list[list[Ground]]) -> Iterator[list[Ground]]:
    for k in range(max(map(len, lists), default=0)):
        yield [row[k] for row in lists if k < len(row)]


def vector(recipe: Recipe, ground: Ground, plant: Plant, rules: str, rng: random.Random) -> Vector:
    bar, beat = place_of(plant.start)
    to_bar, to_beat = place_of(plant.end)
    made = Vector(
        name=f"{recipe.rule}/{rules}/{ground.name}",
        rules=rules,
        mode=ground.mode,
        species=ground.species,
        lines=text(ground.written(plant.edits), ground.end),
        rule=recipe.rule,
        place=(bar, beat, to_bar, to_beat),
        voices=tuple(v + 1 for v in sorted(plant.voices)),
        twin=text(ground.written(plant.twin), ground.end),
        recipe=recipe.sentence,
        source=recipe.source,
        trade_names=ground.names,
    )
    if ground.names:
        return made
    moved = transposed(made, rng.choice(KEYS))
    return moved if simple_signs(moved) else made
