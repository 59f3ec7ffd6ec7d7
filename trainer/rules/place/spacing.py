"""How far neighbours lie apart."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice, Tone


def _wide(piece: Piece, upper: int, lower: int, most: int) -> Iterator[tuple[list[Slice], int]]:
    """Every longest row of slices in which two voices are more than *most* letters apart, and the widest of it."""
    row: list[Slice] = []
    widest = 0
    for one in piece.texture.slices:
        a, c = one.tones[upper], one.tones[lower]
        apart = a.dia - c.dia if a is not None and c is not None else 0
        if apart > most:
            row.append(one)
            widest = max(widest, apart)
        elif row:
            yield row, widest
            row, widest = [], 0
    if row:
        yield row, widest


def _told(row: list[Slice], upper: int, lower: int, widest: int, case: str) -> Fault:
    def apart(one: Slice) -> int:
        return (one.tones[upper].dia if one.tones[upper] else 0) - (one.tones[lower].dia if one.tones[lower] else 0)  # type: ignore[union-attr]

    worst = next(one for one in row if apart(one) == widest)
    tones: tuple[Tone, ...] = tuple(tone for tone in (worst.tones[upper], worst.tones[lower]) if tone is not None)
    return Fault(
        row[0].on,
        row[-1].on,
        tones,
        f"{tones[0].name} lies {widest + 1} notes of the scale above {tones[1].name}",
        case,
    )


def _upper(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts == 2:
        for row, widest in _wide(piece, 0, 1, settings.number("two-parts") - 1):
            yield _told(row, 0, 1, widest, "wide" if widest >= settings.number("two-parts-never") else "tenth")
        return
    for upper in range(piece.parts - 2):
        for row, widest in _wide(piece, upper, upper + 1, settings.number("most") - 1):
            case = _case(piece, row, upper, settings.number("chords"))
            yield _told(row, upper, upper + 1, widest, case)


def _case(piece: Piece, row: list[Slice], upper: int, chords: int) -> str:
    """By what stands on first beats: nothing, a tenth or two at most, or more."""
    bars = piece.texture.bars
    accented = [_apart(one, upper) for one in row if any(one.on <= bar.on < one.end for bar in bars)]
    if not accented:
        return "passing"
    if max(accented) > 9:
        return "wide"
    return "tenth" if len(accented) <= chords else ""


def _apart(one: Slice, upper: int) -> int:
    a, c = one.tones[upper], one.tones[upper + 1]
    return a.dia - c.dia if a is not None and c is not None else 0


def _bass(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    upper, lower = piece.parts - 2, piece.parts - 1
    for row, widest in _wide(piece, upper, lower, settings.number("most") - 1):
        yield _told(row, upper, lower, widest, "wide" if widest >= settings.number("never") else "")


RULES = (
    Rule(
        id="spacing-upper",
        sentence="Upper neighbours lie no more than an octave apart, two voices alone no more than a tenth.",
        advice="bring one of the two nearer by an octave or by the next note of the chord",
        source="Lehmann, lesson XI; part-writing handouts of music schools",
        find=_upper,
        cases={
            "tenth": "up to a tenth, for a chord or two",
            "wide": "more than a tenth (in two parts, than a twelfth)",
            "passing": "never on a first beat",
        },
        parameters={"most": "8", "chords": "2", "two-parts": "10", "two-parts-never": "12"},
        bad=("E5 | D | C // C4 | B3 | C // A3 | G | E", "G5 | A // C4 | D"),
        good=("C5 | D | C // C4 | D | C // A3 | G | E", "E5 | F // C4 | D"),
    ),
    Rule(
        id="spacing-bass",
        sentence="The two lowest voices lie no more than a twelfth apart.",
        advice="take the bass an octave higher, or the voice above it lower",
        source="part-writing handouts of music schools",
        find=_bass,
        cases={"wide": "more than a fifteenth"},
        parameters={"most": "12", "never": "15"},
        bad=("C5 | D // A4 | G // C3 | B2",),
        good=("C5 | D // E4 | G // C3 | G3",),
    ),
)
