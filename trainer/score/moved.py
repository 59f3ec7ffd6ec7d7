"""A score sung at another pitch than it is written, which remembers how it is written: both keys can be told, and it is the same exercise.

Intervals are named as trade does, a number and its quality; what a score was moved by stands among its facts in these words.
"""

from __future__ import annotations

import contextlib
from dataclasses import replace

from trainer.score.change import transpose
from trainer.score.model import Score
from trainer.score.modes import MODE_FIFTHS
from trainer.score.naming import LETTERS, Names, letter
from trainer.score.pitch import Interval, Pitch, line_of_fifths

MOVED = "moved"
"""The fact under which it stands, as in "major third down"."""

FARTHEST_SEMITONES = 12
NUMBERS = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
PURE = {"unison": 0, "fourth": 5, "fifth": 7, "octave": 12}
MAJOR = {"second": 2, "third": 4, "sixth": 9, "seventh": 11}


def _interval_names() -> dict[str, Interval]:
    """Every interval up to an octave that a key may be moved by, by its name, as the way up."""
    found = {}
    for diatonic, number in enumerate(NUMBERS[1:], start=1):
        if number in PURE:
            found[f"perfect {number}"] = Interval(diatonic, PURE[number])
        else:
            found[f"major {number}"] = Interval(diatonic, MAJOR[number])
            found[f"minor {number}"] = Interval(diatonic, MAJOR[number] - 1)
    found["augmented unison"] = Interval(0, 1)
    found["augmented fourth"] = Interval(3, 6)
    found["diminished fifth"] = Interval(4, 6)
    found["octave"] = found.pop("perfect octave")
    return found


NAMED = _interval_names()


def interval_words(interval: Interval) -> str:
    """As in "major third down". Raises ValueError for one that has no such name."""
    up = interval if interval.semitones > 0 else interval.inverse
    for name, known in NAMED.items():
        if known == up:
            return f"{name} {'up' if interval.semitones > 0 else 'down'}"
    raise ValueError(f"an interval of {interval.semitones} semitones over {interval.diatonic} letters has no name")


def interval_of(words: str) -> Interval:
    """The interval of "major third down". Raises ValueError."""
    name, _, way = words.rpartition(" ")
    if name not in NAMED or way not in ("up", "down"):
        raise ValueError(f"{words!r} is not an interval")
    return NAMED[name] if way == "up" else NAMED[name].inverse


def spelled_interval(fifths: int, semitones: int) -> Interval:
    """The interval of so many semitones that leaves a signature of *fifths* with the fewest signs."""
    way = 1 if semitones > 0 else -1
    choices = [one if way > 0 else one.inverse for one in NAMED.values() if one.semitones == abs(semitones)]
    return min(
        choices,
        key=lambda one: (abs(fifths + line_of_fifths(Pitch("C", 0, 4).transposed(one))), abs(one.diatonic)),
    )


def moved(score: Score, semitones: int) -> Score:
    """*score* as it is written, sounding so many semitones higher; 0 is as it is written.

    Raises
    ------
    ValueError
        When there is no way to spell it, or it is farther than an octave.
    """
    written = as_written(score)
    if semitones == 0:
        return written
    if abs(semitones) > FARTHEST_SEMITONES:
        raise ValueError("a piece is moved by an octave at the most")
    fifths = written.keys[0][1].fifths if written.keys else 0
    interval = spelled_interval(fifths, semitones)
    there = transpose(written, interval)
    return replace(there, facts=(*there.facts, (MOVED, interval_words(interval))))


def as_written(score: Score) -> Score:
    """*score* at the pitch at which it is written; itself when it was not moved."""
    words = score.fact(MOVED)
    if not words:
        return score
    back = transpose(score, interval_of(words).inverse)
    return replace(back, facts=tuple(fact for fact in back.facts if fact[0] != MOVED))


def semitones_moved(score: Score) -> int:
    """By how much it sounds higher than it is written."""
    words = score.fact(MOVED)
    return interval_of(words).semitones if words else 0


def moved_words(score: Score, names: Names = LETTERS) -> str:
    """Both keys, as in "a major third down, in G dorian; written in B dorian"; "" where it was not moved."""
    words = score.fact(MOVED)
    if not words:
        return ""
    here, there = key_words(score, names), key_words(as_written(score), names)
    both = f", in {here}; written in {there}" if here else ""
    return f"{'an' if words[0] in 'ao' else 'a'} {words}{both}"


def key_words(score: Score, names: Names = LETTERS) -> str:
    """The mode with its final, or the key of the signature; "" where the score names neither."""
    mode = score.fact("mode")
    if " " in mode:
        final, _, kind = mode.partition(" ")
        with contextlib.suppress(ValueError):  # a word of the file's own stays
            final = letter(final, names)
        return f"{final} {kind}"
    if not score.keys:
        return ""
    key = score.keys[0][1]
    place = key.fifths - MODE_FIFTHS.get(key.mode or "major", 0)
    alter, at = divmod(place + 1, 7)
    if not -2 <= alter <= 2:
        return ""
    tonic = Pitch("FCGDAEB"[at], alter, 4)
    return f"{letter(f'{tonic.step}{tonic.accidental}', names)} {key.mode or 'major'}"
