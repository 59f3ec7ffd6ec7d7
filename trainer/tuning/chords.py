"""Chords to be held made a score of its own: for every place a bar in which the others are heard, then the own note for a bar.

A leading note goes on to its final for one bar more; a suspension begins with its preparation, tied over, and ends with its resolution.
What the bars are stands in a fact of the score, so that a kept take can say it again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.score.change import EXCERPT
from trainer.score.model import Line, Note, Score
from trainer.score.moved import MOVED
from trainer.score.time import Meter, TempoMap
from trainer.tuning.places import Place

FACT = "chords"
"""The fact under which such a score says what is held in which bar: bar, kind, place in the piece and words, bars apart by ';'."""

BEATS_A_SECOND = Fraction(60)
SHORTEST_BEATS, USUAL_BEATS, LONGEST_BEATS = 2, 4, 12
MOST_PLACES = 8
"""As many as make a take of about a minute."""


@dataclass(frozen=True, slots=True)
class Chord:
    """One chord of such a score: the bar in which the own note is to be held, its kind, and what it is in the piece."""

    bar: int
    kind: str
    says: str


def chords_score(score: Score, line_index: int, places: Sequence[Place], *, beats: int = USUAL_BEATS) -> Score:
    """*places* one after another, each bar of *beats* beats of a second."""
    at, notes = 0, [list[Note]() for _ in score.lines]
    told = []
    for place in places:
        heard = len(place.moments) + 1
        for line, mine in enumerate(notes):
            moments = place.moments if line == line_index else (place.moments[0], *place.moments)
            first = at + (line == line_index)
            mine += _notes(score.lines[line], [moment[line] for moment in moments], first, beats)
        told.append(f"{at + place.held + 2}|{place.kind}|{place.says}, {place.bar_words} of the piece")
        at += heard
    kept = tuple(fact for fact in score.facts if fact[0] in ("mode", "sing", MOVED))
    return replace(
        score,
        title=f"{score.title}, chords to hold",
        lines=tuple(Line(line.name, tuple(mine)) for line, mine in zip(score.lines, notes, strict=True)),
        meters=((Fraction(0), Meter(beats, 4)),),
        keys=score.keys[:1],
        tempo=TempoMap(((Fraction(0), BEATS_A_SECOND),)),
        pickup_quarters=Fraction(0),
        printed_bars=(),
        facts=(*kept, (EXCERPT, "chords"), (FACT, ";".join(told)), ("banner", "")),
    )


def chords_of(score: Score) -> tuple[Chord, ...]:
    """What is held in which bar; empty for any other score."""
    found = []
    for one in score.fact(FACT).split(";"):
        bar, _, rest = one.partition("|")
        kind, _, says = rest.partition("|")
        if bar.isdecimal() and says:
            found.append(Chord(int(bar), kind, says))
    return tuple(found)


def _notes(line: Line, indexes: Sequence[int | None], first_bar: int, beats: int) -> list[Note]:
    """A bar for each; the same note, or the same pitch, is held on."""
    found: list[Note] = []
    for k, index in enumerate(indexes):
        if index is None:
            continue
        onset, pitch = Fraction((first_bar + k) * beats), line.notes[index].pitch
        if found and found[-1].end_quarters == onset and found[-1].pitch == pitch:
            found[-1] = replace(found[-1], length_quarters=found[-1].length_quarters + beats)
        else:
            found.append(Note(onset, Fraction(beats), pitch))
    return found
