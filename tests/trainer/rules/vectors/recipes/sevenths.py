"""Chords of the seventh in four parts."""

from __future__ import annotations

from collections.abc import Iterator

from planting import Ground, Grow, Plant, Recipe, Spot, put
from verticals import spot_at, struck_among_upper

OLD = ("strict16", "conservatoire")
TONAL = ("tonal",)
ALL = (*OLD, *TONAL)
LEHMANN = "Lehmann, Simple Counterpoint, lesson XII"
TRADE = "common practice, no source"


def chords(ground: Ground) -> Iterator[tuple[int, list[Spot], int]]:
    """Inner bars in which four voices strike a triad together, and its root's letter."""
    if ground.parts != 4:
        return
    for bar in range(1, ground.bars - 1):
        notes = [s for v in range(4) if (s := ground.at(v, bar * 4)) is not None and s.onset == bar * 4]
        letters = {s.place % 7 for s in notes}
        for root in letters:
            if (
                len(notes) == 4
                and letters <= {root, (root + 2) % 7, (root + 4) % 7}
                and {root, (root + 2) % 7} <= letters
            ):
                yield bar, notes, root


def sevenths(ground: Ground) -> Iterator[tuple[Spot, Spot, Spot, Spot, int, bool]]:
    """A doubled member rewritten as the seventh: before, old, new, after, root, in the bass or not."""
    for _bar, notes, root in chords(ground):
        for spot in notes:
            before, after = ground.after(spot, -1), ground.after(spot)
            if ground.species[spot.voice] == "cantus" or before is None or after is None or after.onset != spot.end:
                continue
            if any(s.length > 4 for s in notes) or spot.length < 4:
                continue  # held chords and quarters may delay the fall
            rest = {s.place % 7 for s in notes if s is not spot}
            if not {root, (root + 2) % 7} <= rest:
                continue
            for where in range(spot.place - 4, spot.place + 5):
                if where % 7 == (root + 6) % 7:
                    yield before, spot, spot_at(ground, spot, where), after, root, spot.voice == 3


def treated(come: set[int], leave: set[int], *, bass: bool, tonic: bool, end: str, move_after: bool = False) -> Grow:
    """A seventh that comes by one of these moves and leaves by one of those (the next note may be rewritten)."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        first = "CDEFGAB".index(ground.mode[0])
        for before, old, new, after, root, lowest in sevenths(ground):
            if lowest != bass or (root == first) != tonic or new.place - before.place not in come:
                continue
            voices = (old.voice,) if end != "chord" else (0, 1, 2, 3)
            start, stop = {
                "come": (before.onset, old.onset),
                "leave": (old.onset, after.onset),
                "chord": (old.onset, old.onset),
            }[end]
            following = {n.place % 7 for v in range(4) if (n := ground.at(v, after.onset)) is not None}
            if end == "leave" and {root, new.place % 7} <= following:
                continue  # the chord goes on and may hand its seventh to another voice
            if after.place - new.place in leave:
                yield Plant(put((old, new.name)), start, stop, voices)
            elif move_after and ground.species[after.voice] != "cantus":
                for size in sorted(leave):
                    goal = spot_at(ground, after, new.place + size)
                    if (root + 3) % 7 == first and (size == 1):
                        continue  # a dominant four-three may let its seventh rise
                    yield Plant(put((old, new.name), (after, goal.name)), start, stop, voices)

    return grow


def bass_leaps(ground: Ground, rules: str) -> Iterator[Plant]:
    """A four-two chord's bass leaps up a fifth where it should fall a step."""
    for bar in range(1, ground.bars - 2):
        notes = [ground.at(v, bar * 4) for v in range(ground.parts)]
        if ground.parts != 4 or any(n is None or n.onset != bar * 4 for n in notes):
            continue
        bass = notes[3]
        assert bass is not None
        root = (bass.place + 1) % 7
        letters = {n.place % 7 for n in notes if n is not None}
        after = ground.after(bass)
        if letters != {root, (root + 2) % 7, (root + 4) % 7, bass.place % 7} or after is None:
            continue
        if after.place == bass.place - 1 and ground.species[3] != "cantus":
            yield Plant(put((after, ground.pitch(bass.place + 4))), bass.onset, after.onset, (3,))


SMOOTH = {-1, 1}
LEAPS = {-4, -3, -2}
UP = {1, 2, 3, 4}
NOT_STRICT = ("all-consonant", "dissonance-struck", "seventh-prep", "seventh-resolution", "fourth-vs-bass")
RECIPES = [
    Recipe(
        "seventh-allowed",
        "Three parts strike third, root and seventh of one chord together.",
        "Fux 1725, first book: no seventh but a suspended one",
        struck_among_upper,
        ALL,
        ("dissonance-struck", "all-consonant", "seventh-prep", "seventh-resolution"),
    ),
    Recipe(
        "seventh-allowed",
        "Four voices strike a seventh chord, its seventh reached by step and falling.",
        LEHMANN,
        treated(SMOOTH, {-1}, bass=False, tonic=False, end="chord", move_after=True),
        OLD,
        NOT_STRICT,
    ),
    Recipe(
        "seventh-prep",
        "The seventh is reached by a leap down.",
        LEHMANN,
        treated(LEAPS, {-1}, bass=False, tonic=False, end="come", move_after=True),
        TONAL,
    ),
    Recipe(
        "seventh-resolution",
        "The seventh, reached by step, goes up.",
        LEHMANN,
        treated(SMOOTH, UP, bass=False, tonic=False, end="leave", move_after=True),
        TONAL,
    ),
    Recipe(
        "seventh-inversion",
        "A four-two chord's bass leaps up a fifth where it should fall a step.",
        TRADE,
        bass_leaps,
        TONAL,
        ("seventh-resolution",),
    ),
    Recipe(
        "seventh-kinds",
        "A seventh on the final's own chord, not in a sequence.",
        TRADE,
        treated(SMOOTH, {-1}, bass=False, tonic=True, end="chord", move_after=True),
        TONAL,
    ),
]
