"""Where a singer gets the note after a rest."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.rules.texture import Tone
from trainer.singable.declare import TWO, Found, Kind
from trainer.singable.part import Part


def entries(part: Part) -> Iterator[tuple[Tone, int | None]]:
    """Every note after a rest that is not the singer's last one, with the voice that had it in the bar before, None for nobody.

    The first note of a piece is given, and so is one before which nothing has sounded.
    """
    for tone in part.line:
        before = part.texture.before(tone)
        if (before is not None and before.end == tone.on) or tone.on == 0:
            continue
        if before is not None and before.midi % 12 == tone.midi % 12:
            continue
        bar = part.texture.bar_at(tone.on)
        window = part.heard(tone.on - (bar.end - bar.on), tone.on)
        if window or before is not None:
            yield tone, window.get(tone.midi % 12)


def _entry(part: Part) -> Iterator[Found]:
    for tone, giver in entries(part):
        if giver is None:
            yield Found(tone, TWO, f"enters on {tone.name}, which no voice has had in the bar before it")


def _cue(part: Part) -> Iterator[Found]:
    for tone, giver in entries(part):
        if giver is not None:
            yield Found(tone, Fraction(0), f"enters on {tone.name}: the {part.name(giver)} has it in the bar before")


KINDS = (
    Kind(
        id="entry",
        sentence="After a rest the note must come from somewhere: one's own last note, or a voice that has just had it.",
        advice="through the rest keep a note in your head, your last one or the one you were given, and find it from there",
        source="common practice, no source",
        find=_entry,
        bad=(". | . A4 | B // C4 | D E | G", "C4 . | . A4 | G // C3 D | E - | C"),
        good=(". | . A4 | B // C4 | A3 D | G", "A4 . | . A4 | G // C3 D | E - | C", ". C5 | B // C4 | G"),
    ),
    Kind(
        id="cue",
        sentence="An entry is sure when another voice has just had the note.",
        advice="listen for it there, in whatever octave, and keep it",
        source="common practice, no source",
        find=_cue,
        bad=(". | . A4 | B // C4 | A3 D | G",),
        good=(". | . A4 | B // C4 | D E | G", "A4 . | . A4 | G // C3 D | E - | C"),
    ),
)
