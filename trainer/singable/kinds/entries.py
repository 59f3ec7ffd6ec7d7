"""Where a singer gets the note after a rest."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.singable.declare import TWO, Found, Kind
from trainer.singable.part import Part


def _entry(part: Part) -> Iterator[Found]:
    for tone in part.line:
        before = part.texture.before(tone)
        if (before is not None and before.end == tone.on) or tone.on == 0:
            continue
        if before is not None and before.midi % 12 == tone.midi % 12:
            continue
        bar = part.texture.bar_at(tone.on)
        window = part.heard(tone.on - (bar.end - bar.on), tone.on)
        # before the first bar nothing has sounded but the key chord, in which the first note is given
        if not window and before is None:
            continue
        if tone.midi % 12 not in window:
            yield Found(tone, TWO, f"enters on {tone.name}, which nobody has sung in the bar before")


KINDS = (
    Kind(
        id="entry",
        sentence="After a rest the note must come from somewhere: one's own last note, or a voice that has just had it.",
        advice="keep your last note humming in your head through the rest and count from it",
        source="common practice, no source",
        find=_entry,
        bad=(". | . A4 | B // C4 | D E | G", "C4 . | . A4 | G // C3 D | E - | C"),
        good=(". | . A4 | B // C4 | A3 D | G", "A4 . | . A4 | G // C3 D | E - | C", ". C5 | B // C4 | G"),
    ),
)
