"""The shape of a whole line: compass, highest and lowest note, how much of it goes by step."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import CANTUS, Piece
from trainer.rules.texture import Tone, runs

LEAST_MOVES = 8
"""A shorter line has no share of steps to speak of (our own)."""


def _compass(piece: Piece, settings: Settings) -> Iterator[Fault]:
    most = settings.number("most") - 1
    for line in piece.texture.lines:
        if not line:
            continue
        low, high = _ends(line)
        if high.dia - low.dia > most:
            says = f"the line goes from {low.name} to {high.name}"
            yield Fault(min(low.on, high.on), max(low.on, high.on), (low, high), says)


def _ends(line: tuple[Tone, ...]) -> tuple[Tone, Tone]:
    return min(line, key=lambda tone: tone.dia), max(line, key=lambda tone: tone.dia)


def _range(piece: Piece, settings: Settings) -> Iterator[Fault]:
    """Judged only where the file itself names the voices: a bare line may be anybody's."""
    for voice, line in enumerate(piece.texture.lines):
        name = piece.score.lines[voice].name.lower()
        if name not in settings.values:
            continue
        low, high = settings.words(name)[0].split("..")
        bottom, top = _midi(low), _midi(high)
        outside = [tone for tone in line if not bottom <= tone.midi <= top]
        if outside:
            worst = max(outside, key=lambda tone: max(bottom - tone.midi, tone.midi - top))
            says = f"{worst.name} lies outside the {name}'s compass of {low} to {high}"
            yield Fault(outside[0].on, outside[-1].on, tuple(outside), says)


def _midi(name: str) -> int:
    from trainer.score.pitch import Pitch

    return Pitch.parse(name).midi


def _climax(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, line in enumerate(piece.texture.lines):
        inner = piece.parts > 2 and 0 < voice < piece.parts - 1
        yield from _extreme(line, 1, "highest", "inner" if inner else "")


def _nadir(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for line in piece.texture.lines:
        yield from _extreme(line, -1, "lowest", "")


def _extreme(line: tuple[Tone, ...], sign: int, word: str, case: str) -> Iterator[Fault]:
    most = max((sign * tone.midi for tone in line), default=0)
    there = [tone for tone in line if sign * tone.midi == most]
    if len(there) > 1:
        says = f"{there[0].name}, the {word} note, is sung {len(there)} times"
        yield Fault(there[0].on, there[-1].on, tuple(there), says, case)


def _together(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    tops = []
    for line in texture.lines:
        most = max((tone.midi for tone in line), default=0)
        tops.append([tone for tone in line if tone.midi == most])
    for upper, lower in combinations(range(piece.parts), 2):
        for one in tops[upper]:
            other = next(
                (tone for tone in tops[lower] if texture.bar_index(tone.on) == texture.bar_index(one.on)), None
            )
            if other is not None:
                says = f"{one.name} and {other.name}, the highest notes of both, lie in one bar"
                at = sorted((one.on, other.on))
                yield Fault(at[0], at[1], (one, other), says, "outer" if piece.outer(upper, lower) else "")
                break


def _steps(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, line in enumerate(piece.texture.lines):
        least = dict(word.split(":") for word in settings.words("least"))
        species = "1" if piece.species[voice] == CANTUS else piece.species[voice]
        moves = [
            after.dia - before.dia for run in runs(line) for before, after in pairwise(run) if after.dia != before.dia
        ]
        if species not in least or len(moves) < LEAST_MOVES:
            continue
        share = 100 * sum(abs(move) == 1 for move in moves) // len(moves)
        wanted = int(least[species])
        if piece.parts > 3 and voice == piece.parts - 1:
            wanted -= settings.number("bass")
        if share < wanted:
            says = f"{share} of a hundred moves are steps; at least {wanted} are usual"
            yield Fault(line[0].on, line[-1].on, (line[0], line[-1]), says)


def _static(piece: Piece, settings: Settings) -> Iterator[Fault]:
    """The longest stretches inside a fourth, each told once."""
    most = settings.number("notes")
    for line in piece.texture.lines:
        start = told = 0
        heights: Counter[int] = Counter()
        for index, tone in enumerate(line):
            heights[tone.dia] += 1
            while max(heights) - min(heights) > 3:
                heights[line[start].dia] -= 1
                heights += Counter()  # lets go of what is counted no more
                start += 1
            after = line[index + 1].dia if index + 1 < len(line) else None
            last = after is None or max(*heights, after) - min(*heights, after) > 3
            if last and index + 1 - start > most and start >= told:
                told = index + 1
                says = f"{index + 1 - start} notes from {line[start].name} on stay within a fourth"
                yield Fault(line[start].on, line[index].on, line[start : index + 1], says)


RULES = (
    Rule(
        id="range-tenth",
        sentence="A line stays within a tenth.",
        advice="put a stretch of it into the other octave",
        source="common practice, no source; counted in Fux 1725",
        find=_compass,
        species=SPECIES,
        parameters={"most": "10"},
        bad=("species: 1; cantus: bass; sing: soprano :: C4 | G | C5 | F // C4 | E | A3 | D",),
        good=("species: 1; cantus: bass; sing: soprano :: C4 | G4 | C5 | E // C4 | E | A3 | C",),
    ),
    Rule(
        id="range-voice",
        sentence="A voice that the score names stays in its compass.",
        advice="put the exercise a step or more lower or higher, or give the line to another voice",
        source="a part-writing handout's table",
        find=_range,
        species=SPECIES,
        parameters={"soprano": "C4..G5", "alto": "G3..C5", "tenor": "C3..G4", "bass": "E2..C4"},
        bad=("species: 1; cantus: bass; sing: soprano :: C4 | B3 | C // C3 | G | C",),
        good=("species: 1; cantus: bass; sing: soprano :: C4 | D | C // C3 | G | C",),
    ),
    Rule(
        id="single-climax",
        sentence="The highest note of a line is sung once.",
        advice="lower one of the two peaks by a step",
        source="Jeppesen 1931; a university grading guide",
        find=_climax,
        species=SPECIES,
        cases={"inner": "in an inner voice"},
        bad=("species: 1; cantus: bass; sing: soprano :: A4 | C5 | B | C | A // D4 | E | G | A | D",),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | C5 | B | G | A // D4 | E | G | B3 | D",),
    ),
    Rule(
        id="single-nadir",
        sentence="The lowest note of a line is sung once.",
        advice="raise one of the two by a step",
        source="a university grading guide",
        find=_nadir,
        species=SPECIES,
        bad=("species: 1; cantus: bass; sing: soprano :: A4 | C5 | B | A | D5 // D4 | E | G | F | B3",),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | C5 | B | C | D // D4 | E | G | A | B3",),
    ),
    Rule(
        id="climax-together",
        sentence="Two voices do not have their highest notes in the same bar.",
        advice="move the peak of one of the two by a bar or more",
        source="from memory",
        find=_together,
        species=SPECIES,
        cases={"outer": "the outer voices"},
        bad=("species: 1; cantus: bass; sing: soprano :: A4 | D5 | B | A // D4 | G | E | D",),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | D5 | B | A // D4 | E | G | D",),
    ),
    Rule(
        id="step-share",
        sentence="Most moves of a line are steps.",
        advice="fill some of the thirds and fourths by step",
        source="our own, counted in Fux 1725 and in Bach's chorales",
        find=_steps,
        species=SPECIES,
        parameters={"least": "1:45,2:55,3:65,5:60", "bass": "15"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: D4 | G | E | A | F | B | G | C5 | A // D4 | E | C | D | B3 | D | E | C | D",
        ),
        good=(
            "species: 1; cantus: bass; sing: soprano :: D4 | E | F | G | A | G | F | E | D // D4 | E | C | D | B3 | D | E | C | D",
        ),
    ),
    Rule(
        id="static-range",
        sentence="A line does not stay within a fourth for long.",
        advice="lead the line further up or down in one place",
        source="from memory",
        find=_static,
        species=SPECIES,
        parameters={"notes": "5"},
        bad=("species: 1; cantus: bass; sing: soprano :: A4 | B | C5 | B | A | C // D4 | E | A | G | F | E",),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | B | C5 | D | E | C // A4 | G | E | B | C5 | A4",),
    ),
)
