"""Which bars to rehearse: those that failed, those that a leader has noted, those at which the score itself foretells a slip.

Three places, not the whole piece: what can be worked at in one sectional (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.score.model import Score
from trainer.section.copies import Copies
from trainer.singable.danger import danger_spots

FORETOLD = 3
TOLD = 2
"""So many dangers of a bar are named, the heaviest."""

TURN_BARS = 4


@dataclass(frozen=True, slots=True)
class Place:
    """Bars of the file to be rehearsed, and why."""

    first: int
    last: int
    says: str


def places_of(
    score: Score, line_index: int, *, notes: Mapping[int, str], failed: Sequence[tuple[int, str]], copies: Copies
) -> tuple[Place, ...]:
    """Places in the order in which to rehearse them; the first bar where nothing is known or foretold.

    Parameters
    ----------
    notes : mapping from bar to words
        The leader's own.
    failed : sequence of (bar, words)
        What was not held when desks last sang, the worst first.
    """
    foretold = _foretold(score, line_index)
    wanted = [(bar, f"last time {words}") for bar, words in failed]
    wanted += [(bar, f"your note: {words}") for bar, words in notes.items()]
    seen: set[str] = set()
    for bar, (_, dangers) in sorted(foretold.items(), key=lambda one: (-one[1][0], one[0])):
        number = copies.number(bar)  # a repeat has its bars twice, with the same numbers
        if len(seen) < FORETOLD and number not in seen:
            seen.add(number)
            wanted.append((bar, dangers))
    found: dict[int, list[str]] = {}
    for bar, words in wanted:
        found.setdefault(bar, []).append(words)
    first = score.bars().bars[0].number
    places = [Place(bar, bar, "; ".join(words)) for bar, words in found.items()]
    return _joined(places, copies) or (Place(first, first, ""),)


def _joined(places: Sequence[Place], copies: Copies) -> tuple[Place, ...]:
    """Two neighbours that follow one another in the list become one place."""
    found: list[Place] = []
    for place in places:
        before = found[-1] if found else None
        if before is not None and before.first == before.last and abs(place.first - before.first) == 1:
            low, high = sorted((before, place), key=lambda one: one.first)
            says = "; ".join(f"in {copies.called(one.first)}, {one.says}" for one in (low, high))
            found[-1] = Place(low.first, high.last, says)
        else:
            found.append(place)
    return tuple(found)


def _foretold(score: Score, line_index: int) -> dict[int, tuple[float, str]]:
    """By bar of a marked note: the weight of all its notes, and what threatens them."""
    bars = score.bars()
    weights: dict[int, float] = {}
    words: dict[int, list[str]] = {}
    marked = set()
    for spot in danger_spots(score, line_index):
        bar = bars.at(spot.onset_quarters).number
        weights[bar] = weights.get(bar, 0.0) + float(spot.weight)
        if spot.marked:
            marked.add(bar)
            words.setdefault(bar, []).extend(danger.words for danger in spot.dangers[:TOLD])
    return {bar: (weights[bar], ", ".join(list(dict.fromkeys(words[bar]))[:TOLD])) for bar in marked}


def with_run_up(score: Score, place: Place) -> tuple[int, int]:
    """The bars of a place with the bar before it, where there is one: the way into a note is where it is lost."""
    return max(place.first - 1, score.bars().bars[0].number), place.last


def for_a_turn(score: Score, first: int, last: int) -> tuple[int, int]:
    """Four bars from *first* on, or as many as *last* asks for; earlier ones where the piece ends before."""
    bars = score.bars().bars
    end = min(max(last, first + TURN_BARS - 1), bars[-1].number)
    return max(min(first, end - TURN_BARS + 1), bars[0].number), end
