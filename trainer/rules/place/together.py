"""Voices that go the same way for too long: all at once, in thirds and sixths, or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import MAJOR_THIRD, simple
from trainer.rules.piece import Piece
from trainer.rules.texture import Move, Slice


def _all_same_way(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    for before, now in pairwise(piece.texture.slices):
        moves = []
        for old, new in zip(before.tones, now.tones, strict=True):
            if old is None or new is None or old is new:
                break
            moves.append((old, new))
        if len(moves) < piece.parts:
            continue
        ways = {(new.dia > old.dia) - (new.dia < old.dia) for old, new in moves}
        if len(ways) != 1 or 0 in ways or _sixths_by_step(before, now):
            continue
        case = leap_case([abs(new.dia - old.dia) for old, new in moves], piece.cantus)
        tones = tuple(tone for old, new in moves for tone in (old, new))
        says = f"all voices go {'up' if 1 in ways else 'down'} together"
        yield Fault(before.on, now.on, tones, says, case)


def leap_case(sizes: list[int], cantus: int | None) -> str:
    """The case of all voices going one way by so many letters, the cantus in a voice or nowhere."""
    largest = sorted(sizes)[-1]
    if largest <= 2:
        return ""
    if largest == 3 and sorted(sizes)[-2] == 1:
        return "fourth"
    return "cantus-octave" if cantus is not None and sizes[cantus] == 7 else "leap"


def _sixths_by_step(before: Slice, now: Slice) -> bool:
    """A chain of sixth chords, every voice by step."""
    for one in (before, now):
        if one.bass is None or {(tone.dia - one.bass.dia) % 7 for tone in one.sounding} - {0, 2, 5}:
            return False
        if not any((tone.dia - one.bass.dia) % 7 == 5 for tone in one.sounding):
            return False
    return all(abs(new.dia - old.dia) == 1 for old, new in zip(before.sounding, now.sounding, strict=True))


def _imperfect(piece: Piece, settings: Settings) -> Iterator[Fault]:
    most = settings.number("most")
    for (upper, lower), moves in piece.texture.moves.items():
        row: list[Move] = []
        for move in moves:
            going = _interval(move, 0)
            parallel = going in (2, 5) and going == _interval(move, 1) and _same_way(move)
            if row and (
                not parallel or move.a is not row[-1].b or move.c is not row[-1].d or _interval(row[-1], 1) != going
            ):
                yield from _row(piece, upper, lower, row, most)
                row = []
            if parallel:
                row.append(move)
        yield from _row(piece, upper, lower, row, most)
        if piece.parts == 2:
            yield from _major_thirds(moves)


def _interval(move: Move, moment: int) -> int:
    upper, lower = (move.a, move.c) if moment == 0 else (move.b, move.d)
    return abs(upper.dia - lower.dia) % 7


def _same_way(move: Move) -> bool:
    return (move.b.dia - move.a.dia) * (move.d.dia - move.c.dia) > 0


def _row(piece: Piece, upper: int, lower: int, row: list[Move], most: int) -> Iterator[Fault]:
    if len(row) + 1 > most:
        word = "thirds" if _interval(row[0], 0) == 2 else "sixths"
        tones = (row[0].a, row[0].c, row[-1].b, row[-1].d)
        case = ("outer-long" if len(row) > 4 else "outer") if piece.outer(upper, lower) else ""
        yield Fault(row[0].at, row[-1].to, tones, f"{len(row) + 1} {word} running", case)


def _major_thirds(moves: tuple[Move, ...]) -> Iterator[Fault]:
    for move in moves:
        whole = abs(move.b.midi - move.a.midi) == 2 and _same_way(move)
        if whole and simple(move.a, move.c) == simple(move.b, move.d) == MAJOR_THIRD:
            says = f"{move.a.name}/{move.c.name} to {move.b.name}/{move.d.name}: major thirds by a whole tone"
            yield Fault(move.at, move.to, (move.a, move.c, move.b, move.d), says, "major-thirds")


def _same_again(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for before, now in pairwise(piece.texture.slices):
        for upper, lower in piece.texture.pairs:
            a, c, b, d = before.tones[upper], before.tones[lower], now.tones[upper], now.tones[lower]
            if a is None or b is None or c is None or d is None or a is b or c is d:
                continue
            if (a.midi, c.midi) == (b.midi, d.midi) and a.on == c.on:
                says = f"{a.name}/{c.name} is struck twice running"
                yield Fault(a.on, now.on, (a, c, b, d), says)


RULES = (
    Rule(
        id="all-same-way",
        sentence="Not all voices go the same way into a new chord.",
        advice="let one voice stay, or lead the bass against the others",
        source="from memory; Cherubini 1835 prefers contrary motion",
        find=_all_same_way,
        species=SPECIES,
        cases={
            "leap": "one of them leaps more than a third",
            "fourth": "one leaps a fourth, the others step",
            "cantus-octave": "the cantus itself leaps an octave",
        },
        bad=(
            "species: 1; cantus: alto; sing: soprano :: C5 | D // E4 | F // A3 | D4",
            "species: 1; cantus: alto; sing: soprano :: C5 | D // E4 | F // C3 | D",
        ),
        good=(
            "species: 1; cantus: alto; sing: soprano :: C5 | D // E4 | F // C4 | B3",
            "species: 1; cantus: alto; sing: soprano :: C5 | D // G4 | A // E4 | F",
        ),
    ),
    Rule(
        id="too-many-parallel-imperfect",
        sentence="Two voices do not go in thirds or sixths for more than three chords running.",
        advice="break the chain with a third turned into a sixth, or with contrary motion",
        source="a university grading guide; Lehmann, lesson XI (major thirds)",
        find=_imperfect,
        species=SPECIES,
        cases={
            "outer": "top voice and bass",
            "outer-long": "the same, six or more",
            "major-thirds": "in two parts, two major thirds by a whole tone",
        },
        parameters={"most": "3"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: F4 | G | A | B | C5 // D4 | E | F | G | A",
            "species: 1; cantus: bass; sing: soprano :: A4 | B | C5 // F4 | G | C",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: F4 | G | A | B // D4 | E | F | D",),
    ),
    Rule(
        id="same-vertical-repeated",
        sentence="Two voices do not strike the same two notes twice running.",
        advice="let one of the two move",
        source="from memory",
        find=_same_again,
        species=SPECIES,
        bad=("species: 1; cantus: bass; sing: soprano :: F4 | F | A // D4 | D | F",),
        good=("species: 1; cantus: bass; sing: soprano :: F4 | F | A // D4 | A3 | F",),
    ),
)
