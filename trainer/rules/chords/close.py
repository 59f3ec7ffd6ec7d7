"""The last chord: its third, what it doubles, and voices crossed on the way into it."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import MAJOR_THIRD, MINOR_THIRD, simple
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice, Tone


def _thirds(piece: Piece, wanted: tuple[int, int]) -> tuple[Slice, Tone, list[Tone]] | None:
    last = piece.texture.slices[-1] if piece.texture.slices else None
    if last is None or last.bass is None or piece.parts < 3:
        return None
    return last, last.bass, [tone for tone in last.sounding if simple(tone, last.bass) == wanted]


def _picardy(piece: Piece, settings: Settings) -> Iterator[Fault]:
    found = _thirds(piece, MINOR_THIRD)
    if found and found[2]:
        last, bass, thirds = found
        yield Fault(last.on, last.on, tuple(thirds), f"{thirds[0].name} is a minor third over {bass.name}")


def _third_doubled(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for wanted in (MAJOR_THIRD, MINOR_THIRD):
        found = _thirds(piece, wanted)
        if found and len(found[2]) > 1:
            last, bass, thirds = found
            names = " and ".join(tone.name for tone in thirds)
            yield Fault(last.on, last.on, (*thirds, bass), f"{names} double the third of the last chord")


def _crossed(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    final = texture.bar_index(texture.end - 1) if texture.end else 0
    if final < 1:
        return
    close, end = texture.bars[final - 1].on, texture.bars[final].on
    for upper in range(piece.parts - 1):
        for one in texture.slices:
            a, c = one.tones[upper], one.tones[upper + 1]
            if close <= one.on < end and a is not None and c is not None and a.midi < c.midi:
                yield Fault(one.on, one.on, (a, c), f"{a.name} lies below {c.name} on the way into the close")
                break


RULES = (
    Rule(
        id="picardy",
        sentence="The last chord has a major third or none.",
        advice="raise the third, or leave it out",
        source="Rockstro 1883, p. 742",
        find=_picardy,
        species=SPECIES,
        yields_to=("ends-on",),
        bad=("species: 1; cantus: alto; sing: soprano :: A4 | C#5 | A4 // F4 | E | F // D3 | A | D",),
        good=("species: 1; cantus: alto; sing: soprano :: A4 | C#5 | D // F4 | E | F# // D3 | A | D",),
    ),
    Rule(
        id="final-chord-third-doubled",
        sentence="The third of the last chord is not doubled.",
        advice="double the final",
        source="common practice, no source",
        find=_third_doubled,
        species=SPECIES,
        bad=("species: 1; cantus: alto; sing: soprano :: A4 | C#5 | F# // F4 | E | F# // D3 | A | D",),
        good=("species: 1; cantus: alto; sing: soprano :: A4 | C#5 | D // F4 | E | F# // D3 | A | D",),
    ),
    Rule(
        id="cadence-voice-crossing",
        sentence="Voices do not cross in the bar before the last.",
        advice="exchange the two notes",
        source="common practice, no source",
        find=_crossed,
        species=SPECIES,
        yields_to=("crossing",),
        bad=("species: 1; cantus: alto; sing: soprano :: A4 | C#4 | D // F4 | E | D // D3 | A2 | D",),
        good=("species: 1; cantus: alto; sing: soprano :: A4 | C#5 | D // F4 | E | D // D3 | A | D",),
    ),
)
