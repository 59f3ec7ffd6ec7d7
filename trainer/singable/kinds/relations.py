"""Two forms of one letter in two voices, and notes that the signature does not have."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.singable.declare import ONE, TWO, Found, Kind
from trainer.singable.part import Part

BEATS = 2
"""How long another voice's form of the letter stays in the ear (common practice, no source)."""


def _cross(part: Part) -> Iterator[Found]:
    for tone in part.line:
        before = part.texture.before(tone)
        if before is not None and before.letter == tone.letter:
            continue  # the own line has the change itself
        since = max(0, tone.on - BEATS * part.beat(tone.on))
        for voice in part.others:
            others = [one for one in part.texture.between(voice, since, tone.on) if one.letter == tone.letter]
            if others and others[-1].alter != tone.alter:
                yield Found(tone, TWO, f"{tone.name} just after the {part.name(voice)}'s {others[-1].name}")
                break


def _altered(part: Part) -> Iterator[Found]:
    for tone in part.line:
        before = part.texture.before(tone)
        if part.mode is None or not part.mode.inflected(tone):
            continue
        if before is not None and before.midi == tone.midi:
            continue
        yield Found(tone, ONE, f"{tone.name} is not in the signature")


KINDS = (
    Kind(
        id="cross-relation",
        sentence="Another voice has just had the other form of the letter, and the ear keeps it.",
        advice="listen for the change and own it; in writing, give both forms to one voice",
        source="common practice, no source",
        find=_cross,
        bad=("A4 | F# | G // F3 | D | G", "E4 | C# | D // C4 | A3 | D"),
        good=("A4 | F | G // F3 | D | G", "F4 | F# | G // F3 | D | G"),
    ),
    Kind(
        id="altered-note",
        sentence="A note that the signature does not have is not in the ear when it comes.",
        advice="sing the scale with the altered note before you sing the line",
        source="Fine, Berry and Rosner 2006 (what leaves the key raised errors); how much: our own",
        find=_altered,
        bad=("mode: G mixolydian :: A4 | F# | G // D3 | D | G",),
        good=("mode: G mixolydian :: A4 | F | G // D3 | D | G",),
    ),
)
