"""How long a breath must last at this tempo, and where one can be taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from trainer.rules.texture import Tone
from trainer.singable.declare import ONE, Found, Kind
from trainer.singable.part import Part

LONG_NOTE_SECONDS, LONGEST_SECONDS = Fraction(4), Fraction(8)
"""From the one a held note begins to be a test of breath; at the other it is wholly one."""

TOLD_SECONDS = Fraction(6)
PHRASE_SECONDS = Fraction(8)
"""Amateurs sing comfortably for six to ten seconds on a breath, the trained for twelve (from memory)."""

STOLEN_FROM_SECONDS = Fraction(3, 2)
"""A note as long as this can give its end to a breath and be missed by nobody (our own)."""


def _long_note(part: Part) -> Iterator[Found]:
    for tone in part.line:
        seconds = part.seconds(tone.on, tone.end)
        if seconds > LONG_NOTE_SECONDS:
            points = min(ONE, (seconds - LONG_NOTE_SECONDS) / (LONGEST_SECONDS - LONG_NOTE_SECONDS))
            yield Found(
                tone, points, f"{tone.name} is held for {float(seconds):.3g} s" if seconds >= TOLD_SECONDS else ""
            )


def _phrase(part: Part) -> Iterator[Found]:
    for phrase in phrases(part):
        seconds = part.seconds(phrase[0].on, phrase[-1].end)
        if seconds <= PHRASE_SECONDS:
            continue
        where = breaths(part, phrase)
        told = f"{float(seconds):.3g} s without a rest or a breath mark"
        if where:
            yield Found(phrase[0], Fraction(0), f"{told} from here on", f"cut {_notes(part, where)} short for a breath")
        else:
            since = f"{told}, from {part.texture.place(phrase[0].on)} to here"
            yield Found(phrase[-1], ONE, since, "mark a breath in the line, or sing it faster")


def _notes(part: Part, tones: Sequence[Tone]) -> str:
    """As in "the first notes of bars 2, 4 and 6"."""
    places = [part.texture.place(tone.on) for tone in tones]
    if all(place.beat == 1 for place in places):
        found, one, many = [str(place.bar) for place in places], "the first note of bar", "the first notes of bars"
    else:
        found, one, many = [str(place) for place in places], "the note on", "the notes on"
    return f"{one} {found[0]}" if len(found) == 1 else f"{many} {', '.join(found[:-1])} and {found[-1]}"


def phrases(part: Part) -> list[tuple[Tone, ...]]:
    """The line cut at its rests and its breath marks."""
    marked = part.piece.score.lines[part.voice].notes
    found: list[list[Tone]] = []
    for tone in part.line:
        if found and found[-1][-1].end == tone.on and not marked[found[-1][-1].place].breath_after:
            found[-1].append(tone)
        else:
            found.append([tone])
    return [tuple(phrase) for phrase in found]


def breaths(part: Part, phrase: Sequence[Tone]) -> list[Tone]:
    """Notes whose ends may be given to a breath so that none must last longer than a phrase does; none when that cannot be done.

    Not after a dissonance, whose resolution it would tear off, nor after a leading note.
    """
    chosen: list[Tone] = []
    since, last = phrase[0].on, None
    for tone, following in pairwise(phrase):
        may = part.seconds(tone.on, tone.end) >= STOLEN_FROM_SECONDS and tone not in part.dissonances
        if may and not (part.mode is not None and part.mode.is_leading(tone)):
            last = tone
        if part.seconds(since, following.end) > PHRASE_SECONDS:
            if last is None or last.end <= since:
                return []
            chosen.append(last)
            since = last.end
    return chosen


KINDS = (
    Kind(
        id="long-note",
        sentence="A note as long as this is a test of breath before it is one of pitch.",
        advice="practise it faster first; breathe before it as if for a phrase",
        source="from memory; the seconds are our own",
        find=_long_note,
        bad=("tempo: 48 :: C5 | - | B4 | C5",),
        good=("tempo: 144 :: C5 | - | B4 | C5",),
    ),
    Kind(
        id="long-phrase",
        sentence="A phrase longer than a breath must be broken somewhere.",
        advice="mark where to breathe before you sing",
        source="from memory",
        find=_phrase,
        bad=("tempo: 60 :: C5 | D | C",),
        good=("tempo: 60 :: C5 | D' | C", "tempo: 120 :: C5 | D | C", "tempo: 60 :: C5 | D B | . A"),
    ),
)
