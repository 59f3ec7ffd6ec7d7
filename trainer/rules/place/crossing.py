"""Voices that cross, overlap, meet in a unison."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice, Tone


def neighbours(piece: Piece) -> list[tuple[int, int]]:
    """Every voice with the one below it."""
    return list(pairwise(range(piece.parts)))


def stretches(piece: Piece, upper: int, lower: int) -> Iterator[list[Slice]]:
    """Every longest row of slices in which the upper voice sounds below the lower."""
    row: list[Slice] = []
    for one in piece.texture.slices:
        a, c = one.tones[upper], one.tones[lower]
        if a is not None and c is not None and a.midi < c.midi:
            row.append(one)
        elif row:
            yield row
            row = []
    if row:
        yield row


def _tones(row: list[Slice], upper: int, lower: int) -> tuple[Tone, ...]:
    """The notes of both voices in a row of slices, the upper's first, each once."""
    return tuple(
        dict.fromkeys(tone for voice in (upper, lower) for one in row if (tone := one.tones[voice]) is not None)
    )


def _crossing(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for upper, lower in neighbours(piece):
        for row in stretches(piece, upper, lower):
            tones = _tones(row, upper, lower)
            says = f"{row[0].tones[upper].name} lies below {row[0].tones[lower].name}"  # type: ignore[union-attr]
            yield Fault(row[0].on, row[-1].on, tones, says, _crossing_case(piece, row, tones))


def _crossing_case(piece: Piece, row: list[Slice], tones: tuple[Tone, ...]) -> str:
    texture = piece.texture
    first, last = texture.bar_index(row[0].on), texture.bar_index(row[-1].end - 1)
    if last > first or texture.bars[first].on == row[0].on:
        return "strong"
    moving = max(len({tone.place for tone in tones if tone.voice == voice}) for voice in {tone.voice for tone in tones})
    return "passing" if moving == 1 else ""


def _at_ends(piece: Piece, settings: Settings) -> Iterator[Fault]:
    slices = [one for one in piece.texture.slices if sum(tone is not None for tone in one.tones) > 1]
    if not slices:
        return
    for upper, lower in neighbours(piece):
        for one in dict.fromkeys((slices[0], slices[-1])):
            a, c = one.tones[upper], one.tones[lower]
            if a is not None and c is not None and a.midi < c.midi:
                where = "first" if one is slices[0] else "last"
                case = "above" if lower < piece.parts - 1 and c.dia - a.dia <= 3 else ""
                yield Fault(one.on, one.on, (a, c), f"{a.name} lies below {c.name} in the {where} chord", case)


def _overlap(piece: Piece, settings: Settings) -> Iterator[Fault]:
    least = settings.number("cantus-leap") - 1
    for before, now in pairwise(piece.texture.slices):
        for upper, lower in neighbours(piece):
            a, c, b, d = before.tones[upper], before.tones[lower], now.tones[upper], now.tones[lower]
            if a is None or b is None or c is None or d is None or b.midi < d.midi or a.midi < c.midi:
                continue
            if not (b.midi < c.midi or d.midi > a.midi) or (b is a and d is c):
                continue
            low = b.midi < c.midi
            says = (
                f"{b.name} comes below the {c.name} before it"
                if low
                else f"{d.name} comes above the {a.name} before it"
            )
            says = says.replace(" before it", " that the neighbour had")
            cantus = piece.cantus
            leaps = [abs(y.dia - x.dia) for x, y in ((a, b), (c, d)) if x.voice == cantus]
            yield Fault(before.on, now.on, (a, c, b, d), says, "cantus-leaps" if leaps and max(leaps) >= least else "")


def _unison(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    if len(texture.bars) < 2:
        return
    first, last = texture.bars[0].end, texture.bars[texture.bar_index(texture.end - 1)].on
    for one in texture.slices:
        if one.on < first or one.on >= last:
            continue
        for upper, lower in texture.pairs:
            a, c = one.tones[upper], one.tones[lower]
            if a is None or c is None or a.midi != c.midi or max(a.on, c.on) != one.on:
                continue
            case = _unison_case(piece, one, a, c)
            if case is not None:
                yield Fault(one.on, one.on, (a, c), f"both sing {a.name}", case)


def _unison_case(piece: Piece, one: Slice, a: Tone, c: Tone) -> str | None:
    lowest = "lowest" if piece.parts > 3 and (a.voice, c.voice) == (piece.parts - 2, piece.parts - 1) else ""
    if piece.texture.bar_at(one.on).on == one.on:
        return lowest
    return None if _left_other_way(piece, a) or _left_other_way(piece, c) or lowest else "weak"


def _left_other_way(piece: Piece, tone: Tone) -> bool:
    """Whether the note is left by step in the direction against that in which it was reached."""
    before, after = piece.texture.before(tone), piece.texture.after(tone)
    if before is None or after is None:
        return True
    return abs(after.dia - tone.dia) == 1 and (after.dia - tone.dia) * (tone.dia - before.dia) < 0


def _approach(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for before, now in pairwise(piece.texture.slices):
        for upper, lower in piece.texture.pairs:
            a, c, b, d = before.tones[upper], before.tones[lower], now.tones[upper], now.tones[lower]
            if a is None or b is None or c is None or d is None or b.midi != d.midi:
                continue
            if (a is b) == (c is d) or abs(a.dia - c.dia) != 1:
                continue
            mover = b if a is not b else d
            after = piece.texture.after(mover)
            came = mover.dia - (a if mover is b else c).dia
            if after is not None and after.dia - mover.dia == came:
                continue  # the voice goes on through and crosses
            yield Fault(before.on, now.on, (a, c, b, d), f"{mover.name} is reached from the second beside it")


RULES = (
    Rule(
        id="crossing",
        sentence="A voice does not go below the one under it.",
        advice="exchange the two notes, or take the upper voice's an octave higher",
        source="Cherubini 1835 (a bar or two in three parts); Fux 1725 crosses often",
        find=_crossing,
        cases={"strong": "over a first beat", "passing": "off the first beat, for one note"},
        yields_to=("crossing-at-ends",),
        bad=("D4 | C | F // B3 | E | D", "G4 D | G G // E4 | C"),
        good=("D4 | E | F // B3 | C | D",),
    ),
    Rule(
        id="crossing-at-ends",
        sentence="Voices are not crossed in the first or the last chord.",
        advice="exchange the two notes",
        source="from memory; Fux 1725 does it twice",
        find=_at_ends,
        cases={"above": "neither is the lowest voice, and they cross by no more than a fourth"},
        bad=("C4 | G | F // E4 | E | D", "G4 | G | C4 // E4 | E | E"),
        good=("G4 | C | F // E4 | E | D",),
    ),
    Rule(
        id="overlap",
        sentence="A voice does not go beyond the note that its neighbour has just left.",
        advice="take the nearer octave, or let the neighbour move after it",
        source="part-writing handouts of music schools; the licence beside a leaping cantus is our own",
        find=_overlap,
        cases={"cantus-leaps": "beside a cantus that leaps a sixth or more"},
        parameters={"cantus-leap": "6"},
        yields_to=("crossing", "crossing-at-ends"),
        bad=("D4 | G // B3 | E", "G4 | D // E4 | B3"),
        good=("D4 | G // B3 | C", "G4 | F // E4 | D"),
    ),
    Rule(
        id="unison-inside",
        sentence="Two voices do not meet in a unison inside the exercise on a strong beat.",
        advice="take a third or an octave on the strong beat, or put the unison on a weak one and leave it by step the other way",
        source="Cherubini 1835; Rockstro 1883; Bridge, Counterpoint, chapter 7",
        find=_unison,
        yields_to=("parallel-unison", "direct-unison"),
        cases={"lowest": "the two lowest of four voices", "weak": "on a weak beat, not left by step the other way"},
        bad=("A4 | F | G // D4 | F | E", "A4 | G E D C | G // D4 | E | E"),
        good=("A4 | F | D // D4 | D | D",),
    ),
    Rule(
        id="unison-approach",
        sentence="A unison is not reached from the second beside it while the other voice stays.",
        advice="reach the unison by leap or let both voices move",
        source="Bridge, Counterpoint, chapter 8",
        find=_approach,
        bad=("A4 | F E | G // D4 | E | E",),
        good=("A4 G | E G | G // D4 | E | E", "A4 | F E D C // D4 | E", "A4 | F E | D // D4 | E | E"),
    ),
)
