"""Faults of one line by itself."""

from __future__ import annotations

from collections.abc import Iterator

from planting import Ground, Grow, Plant, Recipe, Spot, put

ALL = ("strict16", "conservatoire", "tonal")
OLD = ("strict16", "conservatoire")
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), p. 741"
FUX = "Fux 1725, first book, the rules of the line"
TRADE = "common practice, no source"


def leap_to(places: int, semitones: int) -> Grow:
    """The second of two neighbouring notes is rewritten so far from the first."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for first in ground.movable():
            second = ground.after(first)
            if second is None or second.onset != first.end or second.end == ground.end:
                continue
            name = away(ground, first, places, semitones)
            if name:
                yield Plant(put((second, name)), first.onset, second.onset, (first.voice,))

    return grow


def away(ground: Ground, first: Spot, places: int, semitones: int) -> str:
    """The pitch so far away if it lies in the mode, or is a raised note that the mode allows at a close."""
    where = first.place + places
    alter = semitones + first.midi - (plain := Spot(0, 0, first.onset, first.length, ground.pitch(where))).midi
    return plain.name if alter == 0 else ""


def altered_leap(places: int, semitones: int) -> Grow:
    """Both notes are rewritten: the first a note of the mode, the second altered by a semitone so that the leap comes out."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for first in ground.movable():
            second = ground.after(first)
            if second is None or second.onset != first.end or second.end == ground.end:
                continue
            where = first.place + places
            for alter in (-1, 1):
                name = ground.pitch(where, alter)
                spot = Spot(0, 0, first.onset, first.length, name)
                if ground.mode.split()[1] in ("aeolian", "minor") and {
                    (p - final_of(ground)) % 7 for p in (first.place, where)
                } & {5, 6}:
                    continue  # the minor's sixth and seventh degrees have a rule of their own
                if spot.midi - first.midi == semitones and "##" not in name and "bb" not in name:
                    yield Plant(put((second, name)), first.onset, second.onset, (first.voice,))

    return grow


def final_of(ground: Ground) -> int:
    return "CDEFGAB".index(ground.mode[0])


def raised_first(places: int, semitones: int) -> Grow:
    """The first note is raised or lowered in its place, and the second makes the interval with it."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for first in ground.movable():
            second = ground.after(first)
            if second is None or second.onset != first.end or second.end == ground.end:
                continue
            if ground.mode.split()[1] in ("aeolian", "minor"):
                continue
            for alter in (1, -1):
                altered = Spot(0, 0, first.onset, first.length, ground.pitch(first.place, alter))
                for shift in (0, 1, -1):
                    name = ground.pitch(first.place + places, shift)
                    spot = Spot(0, 0, first.onset, first.length, name)
                    if spot.midi - altered.midi == semitones and not {"##", "bb"} & {name[1:-1], altered.name[1:-1]}:
                        yield Plant(
                            put((first, altered.name), (second, name)), first.onset, second.onset, (first.voice,)
                        )

    return grow


def outline(sizes: tuple[int, ...]) -> Grow:
    """A run by these staff places whose ends make an augmented fourth; before and after it the line turns."""
    sign = 1 if sizes[0] > 0 else -1

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for first in ground.movable():
            notes = [first]
            while len(notes) <= len(sizes):
                following = ground.after(notes[-1])
                if following is None or following.onset != notes[-1].end:
                    break
                notes.append(following)
            turn, before = ground.after(notes[-1]), ground.after(first, -1)
            if len(notes) <= len(sizes) or turn is None or before is None:
                continue
            if 0 < first.voice < ground.parts - 1 and rules == "strict16":
                continue  # Fux has it in inner voices
            for start in range(first.place - 3, first.place + 4):
                places = [start]
                for size in sizes:
                    places.append(places[-1] + size)
                low, high = (Spot(0, 0, first.onset, first.length, ground.pitch(p)) for p in (places[0], places[-1]))
                if abs(high.midi - low.midi) != 6 or abs(places[-1] - places[0]) != 3:
                    continue
                turns = (turn.place - places[-1]) * sign < 0 and (places[0] - before.place) * sign < 0
                if turns:
                    changes = [(s, ground.pitch(p)) for s, p in zip(notes, places, strict=True)]
                    yield Plant(put(*changes), first.onset, notes[-1].onset, (first.voice,))

    return grow


def two_leaps(first_size: int, second_size: int) -> Grow:
    """Two leaps on in one way, the second and third of three notes rewritten."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for first in ground.movable():
            second = ground.after(first)
            third = ground.after(first, 2)
            if (
                second is None
                or third is None
                or third.end == ground.end
                or third.onset != second.end
                or second.onset != first.end
            ):
                continue
            if first.voice == ground.parts - 1 and abs(first_size + second_size) == 6:
                continue  # Fux has the seventh in the lowest voice
            names = ground.pitch(first.place + first_size), ground.pitch(first.place + first_size + second_size)
            yield Plant(put((second, names[0]), (third, names[1])), first.onset, third.onset, (first.voice,))

    return grow


def not_recovered(places: int, on: int) -> Grow:
    """After a leap the line goes on the same way; in the twin it turns back by step."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        way = 1 if places > 0 else -1
        for first in ground.movable():
            second, third = ground.after(first), ground.after(first, 2)
            if (
                second is None
                or third is None
                or third.end == ground.end
                or second.onset != first.end
                or third.onset != second.end
            ):
                continue
            top = ground.pitch(first.place + places)
            fault = put((second, top), (third, ground.pitch(first.place + places + way * on)))
            twin = put((second, top), (third, ground.pitch(first.place + places - way)))
            yield Plant(fault, first.onset, third.onset, (first.voice,), twin)

    return grow


def restruck(ground: Ground, rules: str) -> Iterator[Plant]:
    """A moving voice strikes its pitch again."""
    for first in ground.movable():
        second = ground.after(first)
        if not ground.quick(first.voice) or second is None or second.onset != first.end or second.end == ground.end:
            continue
        if first.length < 4 and second.length < 4 and second.beat != 1 and second.name != first.name:
            species = ground.species[first.voice]
            if species == "5" and second.beat in (2, 3) and second.bar != first.bar:
                continue  # that would strike a suspension again
            if species == "5" and second.beat == 3:
                continue  # and that sound its resolution early
            yield Plant(put((second, first.name)), first.onset, second.onset, (first.voice,))


def too_wide(ground: Ground, rules: str) -> Iterator[Plant]:
    """One note lies an eleventh or more from the other end of its line."""
    for spot in ground.movable():
        others = [s for s in ground.spots[spot.voice] if s is not spot]
        low, high = min(others, key=lambda s: s.place), max(others, key=lambda s: s.place)
        for where, far in (
            (low.place + 10, low),
            (high.place - 10, high),
            (low.place + 11, low),
            (high.place - 11, high),
        ):
            start, end = sorted((far.onset, spot.onset))
            yield Plant(put((spot, ground.pitch(where))), start, end, (spot.voice,))


def octave_off(ground: Ground, rules: str) -> Iterator[Plant]:
    """A named voice has one note beyond every handbook's compass."""
    beyond = {"soprano": (57, 81), "alto": (53, 74), "tenor": (48, 69), "bass": (36, 64)}
    if not ground.names:
        return
    for spot in ground.movable():
        low, high = beyond[ground.names[spot.voice]]
        for size in (-7, 7, *range(-5, 6)):
            name = ground.pitch(spot.place + size)
            midi = Spot(0, 0, spot.onset, spot.length, name).midi
            if not low <= midi <= high:
                yield Plant(put((spot, name)), spot.onset, spot.onset, (spot.voice,))


RECIPES = [
    Recipe("sixth-leap", "The line leaps up a major sixth.", GROVE, leap_to(5, 9), OLD, ("leap-size",)),
    Recipe("sixth-leap", "The line leaps down a major sixth.", GROVE, leap_to(-5, -9), OLD, ("leap-size",)),
    Recipe(
        "sixth-leap", "The line leaps down a minor sixth.", GROVE, leap_to(-5, -8), ("conservatoire",), ("leap-size",)
    ),
    Recipe("seventh-ninth-leap", "The line leaps up a minor seventh.", GROVE, leap_to(6, 10), ALL, ("leap-size",)),
    Recipe("seventh-ninth-leap", "The line leaps down a minor seventh.", GROVE, leap_to(-6, -10), ALL, ("leap-size",)),
    Recipe("seventh-ninth-leap", "The line leaps up a ninth.", FUX, leap_to(8, 14), ALL, ("leap-size",)),
    Recipe("seventh-ninth-leap", "The line leaps down a tenth.", FUX, leap_to(-9, -15), ALL, ("leap-size",)),
    Recipe("augmented-leap", "The line leaps up an augmented fourth.", GROVE, leap_to(3, 6), ALL, ("leap-size",)),
    Recipe("augmented-leap", "The line leaps down an augmented fourth.", GROVE, leap_to(-3, -6), ALL, ("leap-size",)),
    Recipe(
        "augmented-leap",
        "A note altered so that a second is augmented.",
        GROVE,
        altered_leap(1, 3),
        ALL,
        ("leap-size",),
    ),
    Recipe("diminished-leap", "The line leaps down a diminished fifth.", GROVE, leap_to(-4, -6), OLD, ("leap-size",)),
    Recipe("diminished-leap", "The line leaps up a diminished fifth.", GROVE, leap_to(4, 6), OLD, ("leap-size",)),
    Recipe(
        "diminished-leap",
        "A raised note and a leap down of a diminished fourth to it.",
        GROVE,
        altered_leap(-3, -4),
        OLD,
        ("leap-size",),
    ),
    Recipe(
        "leap-size",
        "A note raised, and a diminished third from it.",
        GROVE,
        raised_first(2, 2),
        ALL,
        ("diminished-leap",),
    ),
    Recipe(
        "leap-size",
        "A note lowered, and a diminished third down to the one below.",
        GROVE,
        altered_leap(-2, -2),
        ALL,
        ("diminished-leap",),
    ),
    Recipe(
        "chromatic-step",
        "A note and the same letter a semitone higher.",
        GROVE,
        altered_leap(0, 1),
        ALL,
        ("leap-size",),
    ),
    Recipe(
        "chromatic-step",
        "A note and the same letter a semitone lower.",
        GROVE,
        altered_leap(0, -1),
        ALL,
        ("leap-size",),
    ),
    Recipe(
        "tritone-outline",
        "Three steps up whose ends make an augmented fourth, and the line turns.",
        GROVE.replace("741", "743"),
        outline((1, 1, 1)),
        OLD,
    ),
    Recipe(
        "tritone-outline",
        "Three steps down whose ends make an augmented fourth, and the line turns.",
        GROVE.replace("741", "743"),
        outline((-1, -1, -1)),
        OLD,
    ),
    Recipe(
        "tritone-outline",
        "A third and a step one way whose ends make an augmented fourth.",
        GROVE.replace("741", "743"),
        outline((2, 1)),
        OLD,
    ),
    Recipe("two-leaps-same-way", "Two leaps of a fourth up: together a seventh.", TRADE, two_leaps(3, 3), OLD),
    Recipe("two-leaps-same-way", "Two leaps of a fourth down: together a seventh.", TRADE, two_leaps(-3, -3), OLD),
    Recipe("two-leaps-same-way", "Two leaps of a fifth up: together a ninth.", TRADE, two_leaps(4, 4), OLD),
    Recipe("two-leaps-same-way", "A third and a fifth up: together a seventh.", TRADE, two_leaps(2, 4), OLD),
    Recipe("leap-recovery", "An octave up, and on upwards by step.", FUX, not_recovered(7, 1), ("strict16",)),
    Recipe("leap-recovery", "An octave down, and on downwards by step.", FUX, not_recovered(-7, 1), ("strict16",)),
    Recipe("leap-recovery", "A minor sixth up, and on up a third.", FUX, not_recovered(5, 2), ("strict16",)),
    Recipe("repeated-note", "A moving voice strikes its note again.", GROVE, restruck, ALL),
    Recipe(
        "range-tenth", "One note more than a tenth from the other end of the line.", TRADE, too_wide, ("conservatoire",)
    ),
    Recipe(
        "range-voice",
        "One note beyond the compass of the named voice.",
        "compasses of harmony handouts and of 365 chorales",
        octave_off,
        ALL,
    ),
]
