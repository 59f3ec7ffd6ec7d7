"""Altered notes: the sixth and seventh degrees of minor, cross relations, accidentals that a mode does not use."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from trainer.rules.declare import EVERY, SPECIES, Fault, Rule, Settings
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Texture, Tone, joined

_DOMINANT = frozenset({5, 7, 2, 4})
"""Degrees of the chord on the fifth, its seventh included."""


def _minor(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode = piece.mode
    if mode is None or mode.name != "minor":
        return
    for line in piece.texture.lines:
        for tone in line:
            if mode.degree(tone) not in (6, 7):
                continue
            before, after = piece.texture.before(tone), piece.texture.after(tone)
            before = before if joined(before, tone) else None
            after = after if joined(tone, after) else None
            wrong = minor_wrong(mode, before, tone, after)
            if wrong:
                tones = tuple(one for one in (before, tone, after) if one is not None)
                yield Fault(tone.on, after.on if after else tone.on, tones, f"{tone.name} {wrong}")


def minor_wrong(mode: Mode, before: Tone | None, tone: Tone, after: Tone | None) -> str:
    """What is wrong with a sixth or seventh degree of minor between its neighbours, "" when nothing is."""
    degree, raised = mode.degree(tone), tone.alter == mode.natural(tone.letter) + 1
    if degree == 7 and raised:
        return _raised_seventh(mode, tone, before, after)
    if degree == 6 and raised:
        return _raised_sixth(mode, before, after)
    return _natural(mode, degree, tone, after)


def _raised_seventh(mode: Mode, tone: Tone, before: Tone | None, after: Tone | None) -> str:
    for beside in (before, after):
        if beside is not None and abs(beside.dia - tone.dia) == 1 and mode.degree(beside) == 6:
            if beside.alter == mode.natural(beside.letter):
                return f"stands beside {beside.name}, the natural sixth degree"
            if beside is after:
                return f"falls to {beside.name}; raised it rises"
    if after is None or after.dia == tone.dia or (after.dia == tone.dia + 1 and mode.is_final(after)):
        return ""
    if abs(after.dia - tone.dia) > 1 and mode.degree(after) in _DOMINANT:
        return ""
    return f"goes to {after.name}; the raised seventh degree rises to the final"


def _raised_sixth(mode: Mode, before: Tone | None, after: Tone | None) -> str:
    rises = after is None or (mode.degree(after) == 7 and mode.inflected(after))
    comes = before is None or mode.degree(before) == 5 or (mode.degree(before) == 7 and mode.inflected(before))
    return (
        ""
        if rises and comes
        else "is raised, but does not lie between the fifth and the raised seventh degree going up"
    )


def _natural(mode: Mode, degree: int, tone: Tone, after: Tone | None) -> str:
    if after is not None and after.dia == tone.dia + 1:
        return f"rises to {after.name}; natural, the {'seventh' if degree == 7 else 'sixth'} degree goes down"
    return ""


def _cross(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    by_letter: dict[int, set[int]] = defaultdict(set)
    for line in texture.lines:
        for tone in line:
            by_letter[tone.letter].add(tone.alter)
    twofold = {letter for letter, alters in by_letter.items() if len(alters) > 1}
    for line in texture.lines:
        for tone in line:
            if tone.letter in twofold:
                yield from _crossed(piece, tone)


def _crossed(piece: Piece, tone: Tone) -> Iterator[Fault]:
    texture = piece.texture
    own = texture.before(tone)
    if own is not None and own.letter == tone.letter:
        return
    beat = texture.bar_at(tone.on).grid
    for voice in range(texture.parts):
        if voice == tone.voice:
            continue
        other = _sounded(texture, voice, tone, tone.on - beat)
        if other is not None:
            outer = piece.outer(min(voice, tone.voice), max(voice, tone.voice))
            says = f"{other.name} in one voice, {tone.name} in another"
            yield Fault(other.on, tone.on, (other, tone), says, "outer" if outer else "")


def _sounded(texture: Texture, voice: int, tone: Tone, since: int) -> Tone | None:
    """The voice's last note of another form of the tone's letter that began before it and ended after *since*."""
    at = max(since, 0)
    other = texture.tone_at(voice, at)
    while other is not None and other.on < tone.on:
        if other.letter == tone.letter and other.alter != tone.alter and other.end > since:
            return other
        other = texture.after(other)
    return None


def _accidentals(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode, texture = piece.mode, piece.texture
    if mode is None or len(texture.bars) < 2:
        return
    close = texture.bars[texture.bar_index(texture.end - 1) - 1].on
    for line in texture.lines:
        for tone in line:
            if mode.inflected(tone) and not _usual(mode, tone) and not (tone.on >= close and mode.is_leading(tone)):
                yield Fault(tone.on, tone.on, (tone,), f"{tone.name} is not of {mode.final} {mode.name}")


def _usual(mode: Mode, tone: Tone) -> bool:
    """B flat in D and F (the lowered sixth of dorian, fourth of lydian); the raised sixth and seventh of minor."""
    lowered = tone.alter == mode.natural(tone.letter) - 1
    if lowered and (mode.name, mode.degree(tone)) in (("dorian", 6), ("lydian", 4)):
        return True
    return mode.name == "minor" and mode.degree(tone) in (6, 7)


RULES = (
    Rule(
        id="minor-6-7",
        sentence="In minor the raised seventh rises to the final, the raised sixth leads to it, and the natural ones go down.",
        advice="raise the sixth as well on the way up, or take both natural on the way down",
        source="Gallon and Bitsch 1964 as cited in a course page; Lehmann, Simple Counterpoint; from memory",
        find=_minor,
        species=SPECIES,
        yields_to=("augmented-leap",),
        bad=(
            "mode: A minor; species: 1; cantus: bass; sing: soprano :: A4 | G# | F | E // A3 | B | D | C",
            "mode: A minor; species: 1; cantus: bass; sing: soprano :: E4 | F# | E | D // C4 | A3 | C | B",
            "mode: A minor; species: 1; cantus: bass; sing: soprano :: E5 | G4 | A | B // C4 | E | C | G3",
        ),
        good=(
            "mode: A minor; species: 1; cantus: bass; sing: soprano :: E4 | F# | G# | A // A3 | A | B | A",
            "mode: A minor; species: 1; cantus: bass; sing: soprano :: A4 | G | F | E // A3 | B | D | C",
        ),
    ),
    Rule(
        id="cross-relation",
        sentence="A note is not followed in another voice, within a beat, by the same letter altered.",
        advice="give both forms to one voice, or put more notes between",
        source="Rockstro 1883; Cherubini 1835 (false relation)",
        find=_cross,
        species=EVERY,
        cases={"outer": "between top voice and bass"},
        bad=("A4 | G# | A // G3 | E | A", "D5 | C# | D // F4 | E | F // C3 | A | D"),
        good=("F4 | E | D // D3 | C# | D", "F4 | F# | G // D3 | D | G2"),
    ),
    Rule(
        id="accidentals",
        sentence="No note is altered but B flat in the modes on D and F and the leading note of the close.",
        advice="take the natural note, or another",
        source="from memory; counted in Fux 1725",
        find=_accidentals,
        species=SPECIES,
        bad=("mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | G# | A | C#5 | D // D4 | E | F | E | D",),
        good=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | Bb | A | C#5 | D // D4 | D | F | E | D",
        ),
    ),
)
