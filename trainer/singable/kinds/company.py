"""Crossing a neighbour, and singing the very note that another voice has."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.singable.declare import ONE, Found, Kind
from trainer.singable.part import Part

SHARED = Fraction(-1, 2)


def _crossing(part: Part) -> Iterator[Found]:
    crossed: set[int] = set()
    for tone in part.line:
        now: set[int] = set()
        for one in part.slices(tone):
            for voice in part.neighbours:
                other = one.tones[voice]
                if other is not None and (other.midi - tone.midi) * (part.voice - voice) < 0:
                    now.add(voice)
        for voice in sorted(now - crossed):
            way = "under" if voice > part.voice else "over"
            yield Found(tone, ONE, f"crosses {way} the {part.name(voice)}, to {tone.name}")
        crossed = now


def _shared(part: Part) -> Iterator[Found]:
    for tone in part.line:
        here = part.texture.slice_at(tone.on)
        if here is not None and any(
            other is not None and other.midi == tone.midi for voice in part.others for other in (here.tones[voice],)
        ):
            yield Found(tone, SHARED)


KINDS = (
    Kind(
        id="crossing",
        sentence="Where two voices cross, each hears its own place taken by the other and goes along.",
        advice="follow your own line's shape through the crossing, with the other voice sounding loud",
        source="common practice, no source",
        find=_crossing,
        bad=("sing: bass :: E4 | D | E // C4 | F | C", "G4 | D | G // C4 | F | C"),
        good=("E4 | D | E // C4 | B3 | C",),
    ),
    Kind(
        id="shared-note",
        sentence="A note that another voice has too is easily found, and is no proof of holding the line.",
        advice="mind where the two part again",
        source="common practice, no source",
        find=_shared,
        bad=("E4 | D | C // C4 | D | E",),
        good=("E4 | F | G // C4 | D | E",),
    ),
)
