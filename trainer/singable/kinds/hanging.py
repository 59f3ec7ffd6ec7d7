"""Leading notes that do not rise and sevenths that do not fall."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.intervals import DIMINISHED_FIFTH, MINOR_SEVENTH, simple
from trainer.rules.texture import HALF as SECOND_HALF
from trainer.rules.texture import Tone
from trainer.singable.declare import ONE, Found, Kind
from trainer.singable.part import Part


def _leading(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        if part.mode is None or not part.mode.is_leading(before) or not _over_dominant(part, before):
            continue
        if after.dia != before.dia + 1 and after.midi != before.midi and _over_tonic(part, after):
            yield Found(after, ONE, f"the leading note {before.name} goes to {after.name} and not up a step")


def _over_dominant(part: Part, tone: Tone) -> bool:
    """Whether the bass under the note's end is the fifth degree, or the note itself is the bass."""
    bass = part.texture.bass_at(tone.end - 1)
    return bass is not None and part.mode is not None and (bass is tone or part.mode.degree(bass) == 5)


def _over_tonic(part: Part, tone: Tone) -> bool:
    bass = part.texture.bass_at(tone.on)
    return bass is not None and part.mode is not None and part.mode.degree(bass) in (1, 6)


def _seventh(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        bass = part.texture.bass_at(before.on)
        if bass is None or bass is before or part.texture.weight(before.on) < SECOND_HALF:
            continue
        if simple(bass, before) not in (MINOR_SEVENTH, DIMINISHED_FIFTH) or bass.on != before.on:
            continue
        if after.dia != before.dia - 1 and after.midi != before.midi:
            what = "seventh" if simple(bass, before) == MINOR_SEVENTH else "diminished fifth"
            yield Found(after, ONE, f"the {what} {before.name} goes to {after.name} and not down a step")


KINDS = (
    Kind(
        id="leading-note-left",
        sentence="A leading note at a cadence wants to rise; anything else is sung against the ear.",
        advice="practise it with the voice that takes the note it wanted",
        source="common practice, no source",
        find=_leading,
        bad=("mode: C ionian :: C5 | B4 | G // C4 | G3 | C",),
        good=("mode: C ionian :: C5 | B4 | C5 // C4 | G3 | C",),
    ),
    Kind(
        id="seventh-left",
        sentence="A seventh or diminished fifth struck over the bass wants to fall by step.",
        advice="sing the step it wants, then what is written",
        source="common practice, no source",
        find=_seventh,
        bad=("E5 | F | G // C4 | G3 | C", "E5 | F | A // C4 | B3 | C"),
        good=("E5 | F | E // C4 | G3 | C",),
    ),
)
