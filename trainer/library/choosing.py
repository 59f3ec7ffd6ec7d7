"""Which of the shipped exercises are asked for: by species, parts, mode, voice, level, crux and compass."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from trainer.grading import HIGHEST_LEVEL
from trainer.library import Exercise
from trainer.score.modes import MODE_FIFTHS
from trainer.score.pitch import Pitch

Wanted = Callable[[Exercise], bool]

SPECIES = ("1", "2", "3", "4", "5", "combined")
PARTS = ("2", "3", "4")
VOICES = ("soprano", "alto", "tenor", "bass")
_RANGE = re.compile(r"(\d{1,2})(?:-(\d{1,2}))?\Z")
_COMPASS = re.compile(r"([A-Ga-g](?:##?|bb?)?-?\d)\s*(?:-|to|\s)\s*([A-Ga-g](?:##?|bb?)?-?\d)\Z")


@dataclass(frozen=True, slots=True)
class Filter:
    """One wish as it was typed, and what answers to it."""

    name: str
    typed: str
    wanted: Wanted


def filters(asked: dict[str, str]) -> tuple[Filter, ...]:
    """Filters by name from what was typed behind each.

    Raises
    ------
    ValueError
        With the name and what may be typed, as two arguments.
    """
    return tuple(Filter(name, typed, KINDS[name](typed.strip())) for name, typed in asked.items())


def chosen(exercises: Iterable[Exercise], wishes: Sequence[Filter]) -> tuple[Exercise, ...]:
    """The exercises that answer to every wish, in their order."""
    return tuple(one for one in exercises if all(wish.wanted(one) for wish in wishes))


def too_much(exercises: Sequence[Exercise], wishes: Sequence[Filter]) -> str:
    """What could be given up where nothing answers to all: the single wish without which most exercises would."""
    without = [(len(chosen(exercises, [other for other in wishes if other is not wish])), wish) for wish in wishes]
    count, wish = max(without, key=lambda pair: pair[0])
    if not count:
        return "give up two of them"
    return f"without --{wish.name} {wish.typed} there {'is' if count == 1 else 'are'} {count}"


def figures(text: str, *, highest: int = HIGHEST_LEVEL) -> range:
    """The whole numbers of 4 or 4-6. Raises ValueError with the two parts of a message."""
    match = _RANGE.match(text.replace(" ", ""))
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last <= highest:
        raise ValueError(f"{text!r} is not a level", f"give 1 to {highest}, or a range such as 4-6")
    return range(first, last + 1)


def compass(text: str) -> tuple[Pitch, Pitch]:
    """Lowest and highest note of A3-D5. Raises ValueError with the two parts of a message."""
    match = _COMPASS.match(text)
    if match:
        low, high = (Pitch.parse(name[0].upper() + name[1:]) for name in match.groups())
        if low.midi < high.midi:
            return low, high
    raise ValueError(f"{text!r} is not a compass", "give the lowest and the highest note, as in A3-D5")


def fits(exercise: Exercise, low: Pitch, high: Pitch) -> bool:
    """Whether the line to sing lies inside, as written or some octaves away: a singer's octave is the singer's."""
    if not exercise.compass:
        return False
    lowest, highest = Pitch.parse(exercise.lowest).midi, Pitch.parse(exercise.highest).midi
    octaves = -(-(low.midi - lowest) // 12)  # the least shift that brings the lowest note inside
    return highest + 12 * octaves <= high.midi


def _one_of(name: str, words: Sequence[str], of: Callable[[Exercise], str]) -> Callable[[str], Wanted]:
    def read(text: str) -> Wanted:
        asked = {word.strip().lower() for word in text.split(",")}
        if not asked <= set(words):
            raise ValueError(f"{', '.join(sorted(asked - set(words)))!r} is not a {name}", f"give {', '.join(words)}")
        return lambda one: of(one) in asked

    return read


def _level(text: str) -> Wanted:
    wanted = figures(text)
    return lambda one: one.level in wanted


def _crux(text: str) -> Wanted:
    words = " ".join(text.lower().split())
    if not words:
        raise ValueError("there are no words to look for", "give some, as in 'big leap'")
    return lambda one: words in one.crux.lower()


def _compass(text: str) -> Wanted:
    low, high = compass(text)
    return lambda one: fits(one, low, high)


KINDS: dict[str, Callable[[str], Wanted]] = {
    "species": _one_of("species", SPECIES, lambda one: one.species),
    "parts": _one_of("number of parts", PARTS, lambda one: str(one.parts)),
    "mode": _one_of("mode", tuple(MODE_FIFTHS), lambda one: one.mode_word),
    "cantus": _one_of("voice", VOICES, lambda one: one.cantus),
    "voice": _one_of("voice", VOICES, lambda one: one.sing),
    "level": _level,
    "crux": _crux,
    "compass": _compass,
}
