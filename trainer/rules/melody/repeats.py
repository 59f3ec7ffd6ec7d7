"""Notes and figures said again: repeated notes, trills, sequences."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone, runs


def _repeated(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, line in enumerate(piece.texture.lines):
        for again in _repetitions(line):
            if all(_whole(piece, tone) for tone in again):
                yield _again(again, _whole_case(piece, voice, len(again), settings.number("most")))
            elif not _is_suspended(piece, again):
                yield _again(again, "moving")


def _whole(piece: Piece, tone: Tone) -> bool:
    """Whether a note fills its bar: a value of the first species, whatever the line is."""
    bar = piece.texture.bar_at(tone.on)
    return tone.on == bar.on and tone.end >= min(bar.end, piece.texture.end)


def _whole_case(piece: Piece, voice: int, times: int, most: int) -> str:
    inner = piece.parts > 2 and 0 < voice < piece.parts - 1
    if times > most:
        return "many-inner" if inner else "many"
    return "inner" if inner else ""


def _repetitions(line: tuple[Tone, ...]) -> Iterator[list[Tone]]:
    """Every longest row of one pitch restruck at once."""
    for run in runs(line):
        same = [run[0]]
        for tone in run[1:]:
            if (tone.midi, tone.dia) == (same[-1].midi, same[-1].dia):
                same.append(tone)
                continue
            if len(same) > 1:
                yield same
            same = [tone]
        if len(same) > 1:
            yield same


def _is_suspended(piece: Piece, again: list[Tone]) -> bool:
    """Whether the repetition belongs to a suspension: restruck, its resolution anticipated, or (told elsewhere) its tie left out.

    Only the fifth species may leave the tie out (Fux 1725, fig. 86a); where lines go in one value a note struck again is a fault.
    """
    first, last = again[0], again[-1]
    if len(again) > 2:
        return False
    return any(
        (one.held is last and last.on == one.at and piece.species[last.voice] == "5")
        or (one.held is first and one.ornament == "restruck")
        or (one.resolution is last and one.ornament)
        for one in piece.suspensions
    )


def _again(tones: list[Tone], case: str) -> Fault:
    says = f"{tones[0].name} is sung {'twice' if len(tones) == 2 else f'{len(tones)} times'} running"
    return Fault(tones[0].on, tones[-1].on, tuple(tones), says, case)


def _trill(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for line in piece.texture.lines:
        for run in runs(line):
            end = 0
            for index in range(len(run) - 3):
                x, y, again, last = run[index : index + 4]
                if index >= end and x.midi == again.midi != y.midi == last.midi:
                    end = index + 3
                    yield Fault(x.on, last.on, (x, y, again, last), f"{x.name} and {y.name} go to and fro")


def _sequence(piece: Piece, settings: Settings) -> Iterator[Fault]:
    bars = settings.number("bars")
    for line in piece.texture.lines:
        for run in runs(line):
            yield from _sequences(piece, run, bars)


def _sequences(piece: Piece, run: tuple[Tone, ...], bars: int) -> Iterator[Fault]:
    """A figure of at least three notes that fills so many bars and comes again at once on another degree."""
    texture = piece.texture
    at = {tone.on: index for index, tone in enumerate(run)}
    told = -1
    for number in range(len(texture.bars) - 2 * bars + 1):
        start, middle = texture.bars[number].on, texture.bars[number + bars].on
        last = texture.bars[number + 2 * bars - 1].end
        if start < told or start not in at or middle not in at:
            continue
        first, second = run[at[start] : at[middle]], [tone for tone in run[at[middle] :] if tone.on < last]
        if len(first) > 2 and _alike(first, second, middle - start):
            told = middle
            says = f"the figure from {first[0].name} comes again from {second[0].name}"
            yield Fault(start, second[-1].on, (*first, *second), says)


def _alike(first: tuple[Tone, ...], second: list[Tone], ahead: int) -> bool:
    if len(first) != len(second) or first[0].dia == second[0].dia:
        return False
    moved = second[0].dia - first[0].dia
    # a figure of one pitch is no figure
    moves = any(one.dia != other.dia for one, other in pairwise(first))
    return moves and all(
        two.on - one.on == ahead and two.dia - one.dia == moved for one, two in zip(first, second, strict=True)
    )


RULES = (
    Rule(
        id="repeated-note",
        sentence="A voice does not strike the same note twice running, except whole notes now and then.",
        advice="move by step, or tie the two notes where the species ties",
        source="Rockstro 1883; Fux 1725, who repeats whole notes in inner parts freely",
        find=_repeated,
        species=SPECIES,
        cases={
            "inner": "whole notes of an inner voice",
            "many": "whole notes more often than the set allows",
            "many-inner": "the same in an inner voice",
            "moving": "in smaller values than the bar",
        },
        parameters={"most": "3"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: A4 | A | G // D4 | F | E",
            "species: 2; cantus: bass; sing: soprano :: A4 A | G E | F // D4 | E | D",
            "species: 2; cantus: bass; sing: soprano :: A4 G | G E | F // D4 | E | D",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | C5 | G // D4 | F | E",),
    ),
    Rule(
        id="trill-figure",
        sentence="A voice does not go to and fro between two notes.",
        advice="turn the figure on after its third note",
        source="from memory",
        find=_trill,
        species=SPECIES,
        bad=("species: 3; cantus: bass; sing: soprano :: A4 B A B | C5 // D4 | A3",),
        good=("species: 3; cantus: bass; sing: soprano :: A4 B A G | C5 // D4 | A3",),
    ),
    Rule(
        id="sequence",
        sentence="A voice does not sing a figure again at once on another degree.",
        advice="change the rhythm or the direction of the second",
        source="Jeppesen 1931, by a digest",
        find=_sequence,
        species=SPECIES,
        parameters={"bars": "2"},
        bad=("species: 2; cantus: bass; sing: soprano :: D4 E | F D | E F | G E | D // D3 | D | E | E | D",),
        good=("species: 2; cantus: bass; sing: soprano :: D4 E | F D | E A | G E | D // D3 | D | E | E | D",),
    ),
)
