"""One sign a beat from the parts of notes and rests inside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from trainer.judge.reading import Reading
from trainer.judge.words import Words
from trainer.practice.plan import Plan, Target
from trainer.practice.signs import ORDER, Sign, ranked
from trainer.practice.take import BeatVerdict

Part = tuple[Target, Reading, str | None]
"""A target, what was read of its part of the beat, and to whom it was pulled."""


def beat_parts(
    targets: Sequence[Target], from_quarters: Fraction, to_quarters: Fraction
) -> Iterator[tuple[Target, Fraction, Fraction]]:
    """Targets that sound in a beat, each with its own stretch of it."""
    for target in targets:
        start, end = max(target.onset_quarters, from_quarters), min(target.end_quarters, to_quarters)
        if start < end:
            yield target, start, end


def part_sign(reading: Reading, pulled: str | None) -> Sign:
    """The main sign of one part."""
    signs = set(reading.signs)
    if pulled is not None:
        signs.add(Sign.PULLED)
    return ranked(signs)[0]


def beat_verdict(plan: Plan, words: Words, at: Fraction, parts: Sequence[Part]) -> BeatVerdict:
    """The part that most wants attention speaks for the beat; one too short to judge only when there is no other.

    Sung parts speak before rests.
    """
    place = plan.bars.place(at)
    if not parts:
        return BeatVerdict(place.bar, place.beat, place.printed_bar, Sign.REST)
    ranks = [(_rank(part), k) for k, part in enumerate(parts)]
    target, reading, pulled = parts[min(ranks)[1]]
    sign = part_sign(reading, pulled)
    return BeatVerdict(
        place.bar,
        place.beat,
        place.printed_bar,
        sign,
        words.cents(reading),
        None if target.pitch is None else str(target.pitch),
        words.sung(reading, target),
        pulled,
    )


def _rank(part: Part) -> tuple[int, int]:
    sign = part_sign(part[1], part[2])
    if sign is Sign.REST:
        return 2, 0
    if sign is Sign.UNSURE:
        return 1, 0
    return 0, ORDER.index(sign)
