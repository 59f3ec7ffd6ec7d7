"""Where pitch sinks: semitones in a falling line, leading notes held long, one note many times."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from trainer.rules.texture import Tone
from trainer.singable.declare import HALF, Found, Kind
from trainer.singable.part import Part

LONG_SECONDS = Fraction(2)
REPEATS = 3


def _falling(part: Part) -> Iterator[Found]:
    for (first, second), (also_second, third) in pairwise(pairwise(part.line)):
        joined = first.end == second.on and also_second.end == third.on
        if joined and third.midi - second.midi == -1 and third.dia < second.dia < first.dia:
            yield Found(third, HALF, f"the line falls by a semitone to {third.name}, which easily comes out flat")


def _leading(part: Part) -> Iterator[Found]:
    for tone in part.line:
        if part.mode is not None and part.mode.is_leading(tone) and part.seconds(tone.on, tone.end) >= LONG_SECONDS:
            yield Found(tone, HALF, f"the leading note {tone.name} is held for {_s(part, tone)} s and easily sinks")


def _repeated(part: Part) -> Iterator[Found]:
    run = 1
    for before, after in pairwise(part.line):
        run = run + 1 if before.end == after.on and before.midi == after.midi else 1
        if run > REPEATS:
            yield Found(after, HALF, f"{after.name} for the {run}th time running; each easily sinks a little")


def _s(part: Part, tone: Tone) -> str:
    return f"{float(part.seconds(tone.on, tone.end)):.3g}"


KINDS = (
    Kind(
        id="falling-semitone",
        sentence="A semitone at the end of a falling line is taken too wide, and the note is flat.",
        advice="think the last step narrow; tune the note to another voice",
        source="common practice, no source",
        find=_falling,
        bad=("G4 | F | E | F",),
        good=("F4 | E | F", "A4 | G | F | E3"),
    ),
    Kind(
        id="leading-note-held",
        sentence="A leading note held long loses its upward drift.",
        advice="keep wanting the note above while you hold it",
        source="common practice, no source; two seconds: our own",
        find=_leading,
        bad=("mode: C ionian :: C5 | B4 | C5 // C4 | D | C",),
        good=("mode: C ionian :: C5 | C B4 C5 D5 | C5 // C4 | D - - - | C",),
    ),
    Kind(
        id="repeated-note",
        sentence="A note sung again and again sinks a little each time.",
        advice="think every repetition a little higher than the last",
        source="common practice, no source",
        find=_repeated,
        bad=("G4 | G | G | G | A",),
        good=("G4 | G | G | A",),
    ),
)
