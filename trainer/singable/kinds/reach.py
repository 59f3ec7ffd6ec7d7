"""The ends of a voice: beyond its compass, leaps to where it is not at ease, and lines that lie too high, too low or on the break."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from trainer.rules.texture import Tone
from trainer.score.pitch import spelled_midi
from trainer.singable.declare import ONE, TWO, Found, Kind
from trainer.singable.part import Part

OUTSIDE_EASE_SHARE = Fraction(15, 100)
ON_BREAK_SHARE = Fraction(1, 2)
"""Shares of the line's time from which it is told (our own)."""

BEYOND_EACH = Fraction(1, 2)


def _outside(part: Part) -> Iterator[Found]:
    compass = part.compass
    for tone in part.line:
        beyond = max(compass.lowest - tone.midi, tone.midi - compass.highest)
        if beyond > 0:
            side = "above" if tone.midi > compass.highest else "below"
            end = _name(compass.highest if side == "above" else compass.lowest)
            yield Found(tone, TWO + BEYOND_EACH * (beyond - 1), f"{tone.name} lies {side} the {compass.voice}'s {end}")


def _far(part: Part) -> Iterator[Found]:
    compass = part.compass
    for before, after in part.steps():
        if abs(after.dia - before.dia) > 1 and not compass.ease_from <= after.midi <= compass.ease_to:
            end = "high" if after.midi > compass.ease_to else "low"
            yield Found(after, ONE, f"leaps to {after.name}, {end} in the voice")


def _lie(part: Part) -> Iterator[Found]:
    compass = part.compass
    high, low = "high in the voice, highest here", "low in the voice, lowest here"
    yield from _share(part, lambda tone: tone.midi > compass.ease_to, OUTSIDE_EASE_SHARE, high, _highest)
    yield from _share(part, lambda tone: tone.midi < compass.ease_from, OUTSIDE_EASE_SHARE, low, _lowest)


def _break(part: Part) -> Iterator[Found]:
    low, high = part.compass.break_from, part.compass.break_to
    words = f"between {_name(low)} and {_name(high)}, where the {part.compass.voice} changes register, first here"
    yield from _share(part, lambda tone: low <= tone.midi <= high, ON_BREAK_SHARE, words, _first)


def _share(
    part: Part, lies: Callable[[Tone], bool], most: Fraction, words: str, choose: Callable[[list[Tone]], Tone]
) -> Iterator[Found]:
    there = [tone for tone in part.line if lies(tone)]
    time = sum(tone.length for tone in there)
    whole = sum(tone.length for tone in part.line)
    if there and time > most * whole:
        mine, every = (sum(part.seconds(tone.on, tone.end) for tone in tones) for tones in (there, part.line))
        yield Found(choose(there), TWO, f"for {_short(mine)} of its {_short(every)} s the line lies {words}")


def _short(seconds: Fraction | int) -> str:
    return f"{float(seconds):.3g}"


def _highest(tones: list[Tone]) -> Tone:
    return max(tones, key=lambda tone: (tone.midi, -tone.on))


def _lowest(tones: list[Tone]) -> Tone:
    return min(tones, key=lambda tone: (tone.midi, tone.on))


def _first(tones: list[Tone]) -> Tone:
    return tones[0]


def _name(midi: int) -> str:
    return str(spelled_midi(midi))


KINDS = (
    Kind(
        id="outside-compass",
        sentence="A note beyond the voice is forced or not there at all.",
        advice="transpose the line, or leave the note out when you practise; never push a voice",
        source="part-writing handouts of music schools; the points are our own",
        find=_outside,
        bad=("C5 | A5 | G", "sing: bass :: C4 | D | E // G2 | D2 | E"),
        good=("C5 | G5 | F",),
    ),
    Kind(
        id="far-leap",
        sentence="A leap to the ends of the voice has less room to be tuned.",
        advice="breathe for it, and think the upper note low and the lower one high",
        source="counted: nine tenths of chorale lines' time lie inside; common practice, no source",
        find=_far,
        bad=("C5 | F5 | E", "G4 | C4 | D // E3 | E | F"),
        good=("A4 | D5 | C",),
    ),
    Kind(
        id="tessitura",
        sentence="A line that stays at one end of the voice tires it, whatever its outermost notes.",
        advice="transpose it; rest between takes, and stop when it hurts or you turn hoarse",
        source="counted: nine tenths of chorale lines' time lie inside; a seventh of the time outside: our own",
        find=_lie,
        bad=("F5 | G | F | E", "sing: bass :: C4 | D | C // E2 | F | G"),
        good=("C5 | B4 | A | G", "C5 | E5 | F5 - - - - - - E5 | D5 | C5 | B4 | A4 | G4 | A4"),
    ),
    Kind(
        id="on-the-break",
        sentence="A line that lives where the register changes must choose a register on every note.",
        advice="transpose it a third, or keep one light register throughout",
        source="Miller, The Structure of Singing, 1986 (the zones, from memory); half of the time: our own",
        find=_break,
        bad=("E5 | F | E | D", "sing: tenor :: C5 | B4 | C5 // G4 | G | G // E4 | D | E // C3 | G3 | C"),
        good=("C5 | E5 | C5 | A4",),
    ),
)
