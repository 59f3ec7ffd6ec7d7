"""Consecutive, contrary and hidden perfect consonances."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from planting import Ground, Grow, Plant, Recipe, Spot, put

ALL = ("strict16", "conservatoire", "tonal")
OLD = ("strict16", "conservatoire")
FUX = "Fux 1725, first book, the four rules of motion"
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), p. 741"
CHERUBINI = "Cherubini 1835, on fifths and octaves delayed by suspensions"


def quality(places: int) -> int:
    """Semitones of a perfect unison, fifth, octave, twelfth or fifteenth."""
    return {0: 0, 4: 7, 7: 12, 11: 19, 14: 24}[places]


def over(ground: Ground, low: Spot, places: int) -> str:
    """The pitch of the mode that lies a perfect interval over (or, negative, under) a note, or nothing."""
    name = ground.pitch(low.place + places)
    spot = Spot(0, 0, low.onset, low.length, name)
    good = abs(spot.midi - low.midi) == quality(abs(places)) and low.name == ground.pitch(low.place)
    return name if good else ""


def steps(ground: Ground) -> Iterator[tuple[Spot, Spot, Spot, Spot]]:
    """Two notes of an upper and two of a lower voice, where both move together; the last bar is left alone."""
    for upper, lower in combinations(range(ground.parts), 2):
        for b1 in ground.spots[lower]:
            b2 = ground.after(b1)
            if b2 is None or b2.onset != b1.end or b2.end == ground.end or b1.bar == 0:
                continue
            a1, a2 = ground.at(upper, b2.onset - b2.onset.__class__(1, 8)), ground.at(upper, b2.onset)
            if a1 is not None and a2 is not None and a1.end == a2.onset == b2.onset:
                yield a1, a2, b1, b2


def latest(a: Spot, b: Spot) -> Spot:
    return a if a.onset > b.onset else b


def outer(ground: Ground, a: Spot, b: Spot) -> bool:
    return a.voice == 0 and b.voice == ground.parts - 1


def consecutive(first: int, second: int, *, contrary: bool) -> Grow:
    """Both moments are rewritten in the upper voice as perfect consonances over the lower voice's two notes."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for a1, a2, b1, b2 in steps(ground):
            if ground.species[a1.voice] == "cantus" or b1.place == b2.place:
                continue
            names = over(ground, b1, first), over(ground, b2, second)
            if not all(names):
                continue
            p1, p2 = b1.place + first, b2.place + second
            if (
                p1 == p2
                or (abs(p2 - p1) > 4 and not contrary)
                or ((p2 - p1 > 0) == (b2.place - b1.place > 0)) == contrary
            ):
                continue
            if contrary and ground.parts == 4:
                continue
            yield Plant(put((a1, names[0]), (a2, names[1])), latest(a1, b1).onset, a2.onset, (a1.voice, b1.voice))

    return grow


def consecutive_below(first: int) -> Grow:
    """The same, written into the lower voice under the upper one's two notes."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for a1, a2, b1, b2 in steps(ground):
            if ground.species[b1.voice] == "cantus" or a1.place == a2.place or abs(a2.place - a1.place) > 4:
                continue
            names = over(ground, a1, -first), over(ground, a2, -first)
            if all(names):
                yield Plant(put((b1, names[0]), (b2, names[1])), latest(a1, b1).onset, a2.onset, (a1.voice, b1.voice))

    return grow


def one_chord(ground: Ground, a1: Spot, places: set[int]) -> bool:
    """Whether everything before and after the move, with the rewritten notes, belongs to one triad."""
    rest = [v for v in range(ground.parts) if v != a1.voice]
    moments = (a1.end - Fraction(1, 8), a1.end)
    letters = {s.place % 7 for v in rest for at in moments if (s := ground.at(v, at)) is not None}
    letters |= {p % 7 for p in places}
    return any(letters <= {root, (root + 2) % 7, (root + 4) % 7} for root in range(7))


def same_before(ground: Ground, a: Spot, b: Spot, back: int, goal: int) -> bool:
    """Whether the two voices had the same consonance so many quarters earlier."""
    one, two = ground.at(a.voice, a.onset - back), ground.at(b.voice, b.onset - back)
    return one is not None and two is not None and (one.place - two.place) % 7 == goal % 7


def hidden(goal: int, *, by_leap: bool) -> Grow:
    """Similar motion into a perfect consonance from another interval; one or two notes of the upper voice are rewritten."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for a1, a2, b1, b2 in steps(ground):
            if ground.species[a1.voice] == "cantus" or b1.place == b2.place or not outer(ground, a1, b1):
                continue
            between = [ground.at(v, a2.onset) for v in range(1, ground.parts - 1)]
            if any(n is None or n.onset < a2.onset for n in between):
                continue  # a third voice tied over the move excuses it
            name = over(ground, b2, goal)
            way = 1 if b2.place > b1.place else -1
            where = b2.place + goal
            for start in (a1.place, *(where - way * k for k in (1, 2, 3, 4))):
                apart, size = start - b1.place, abs(where - start)
                if not name or (where - start) * way <= 0 or size > 4 or (size > 1) != by_leap:
                    continue
                if apart % 7 in (0, 4, 1, 3, 6) or apart < 0:
                    continue
                if any(same_before(ground, a2, b2, back, goal) for back in (2, 4)):
                    continue  # then it is also a consecutive from accent to accent
                if ground.parts > 2 and one_chord(ground, a1, {start, where}):
                    continue  # so does a change of place inside one chord
                yield Plant(
                    put((a1, ground.pitch(start)), (a2, name)), latest(a1, b1).onset, a2.onset, (a1.voice, b1.voice)
                )

    return grow


def hidden_unison(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two neighbouring voices move the same way into one pitch."""
    for a1, a2, b1, b2 in steps(ground):
        if b1.voice != a1.voice + 1:
            continue
        if (
            ground.species[a1.voice] != "cantus"
            and (a1.place - b2.place) * (b1.place - b2.place) > 0
            and a1.place != b1.place
        ):
            if a2.beat == 1 and ground.parts == 2:
                continue
            yield Plant(put((a2, b2.name)), latest(a1, b1).onset, a2.onset, (a1.voice, b1.voice))
        if (
            ground.species[b1.voice] != "cantus"
            and (a1.place - a2.place) * (b1.place - a2.place) > 0
            and a1.place != b1.place
        ):
            if a2.beat == 1 and ground.parts == 2:
                continue
            yield Plant(put((b2, a2.name)), latest(a1, b1).onset, a2.onset, (a1.voice, b1.voice))


def downbeats(back: int, interval: int) -> Grow:
    """Equal consonances on an earlier accent and on a first beat, what lies between moving by no more than a third.

    Outer voices; into the second both go the same way, so that nothing saves it.
    """

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        top, low = 0, ground.parts - 1
        for mover, other in ((top, low), (low, top)):
            if ground.species[mover] not in {"2", "3", "5"} or ground.species[other] not in {"1", "cantus"}:
                continue
            for bar in range(1, ground.bars - 1):
                now, then = bar * 4, bar * 4 - back
                if back == 2 and ground.species[mover] == "2":
                    continue
                n1, n2 = ground.at(other, then), ground.at(other, now)
                first, second = ground.at(mover, then), ground.at(mover, now)
                if (
                    not (n1 and n2 and first and second)
                    or first.onset != then
                    or second.onset != now
                    or n1.place == n2.place
                ):
                    continue
                sign = 1 if mover == top else -1
                one, two = over(ground, n1, sign * interval), over(ground, n2, sign * interval)
                between = [s for s in ground.spots[mover] if then < s.onset < now]
                if not one or not two or not between or len(between) > 3:
                    continue
                goal, way = n2.place + sign * interval, 1 if n2.place > n1.place else -1
                for size in (1, 2):
                    last = goal - way * size
                    start = n1.place + sign * interval
                    if abs(last - start) > 2 * len(between) or (last == start and len(between) == 1):
                        continue
                    if len(between) == 1:
                        if abs(last - start) > 2:
                            continue
                        changes = [(between[0], ground.pitch(last))]
                    elif len(between) == 3:
                        if abs(last - start) == 1:
                            path = (start + (last - start) * 2, last)  # a turn round the goal's neighbour
                            changes = [
                                (between[0], ground.pitch(last)),
                                (between[1], ground.pitch(path[0])),
                                (between[2], ground.pitch(last)),
                            ]
                        elif abs(last - start) == 3:
                            unit = (last - start) // 3
                            changes = [(s, ground.pitch(start + unit * (k + 1))) for k, s in enumerate(between)]
                        else:
                            continue
                    else:
                        continue
                    edits = put((first, one), *changes, (second, two))
                    yield Plant(edits, then, now, (top, low))

    return grow


def delayed(interval: int, *, above: bool) -> Grow:
    """Two suspensions running whose resolutions stand on the same perfect consonance over the other voice's notes.

    The other voice, in whole notes, goes down a step; the tied voice has a note a step above the perfect consonance each time.
    """

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for tied in range(ground.parts):
            if ground.species[tied] != "4":
                continue
            for other in range(ground.parts):
                if other == tied or (tied < other) != above or ground.quick(other):
                    continue
                for bar in range(2, ground.bars - 2):
                    n1, n2 = ground.at(other, bar * 4), ground.at(other, bar * 4 + 4)
                    if n1 is None or n2 is None or n2.place != n1.place - 1:
                        continue
                    sign = 1 if above else -1
                    r1, r2 = over(ground, n1, sign * interval), over(ground, n2, sign * interval)
                    s0, s1, s2 = (ground.at(tied, bar * 4 + k) for k in (0, 2, 6))
                    if not r1 or not r2 or s0 is None or s1 is None or s2 is None:
                        continue
                    if not (
                        s0.onset == bar * 4 - 2
                        and s1.onset == bar * 4 + 2
                        and s2.onset == bar * 4 + 6
                        and s0.length == s1.length == 4
                    ):
                        continue
                    held = ground.pitch(n1.place + sign * interval + 1)
                    yield Plant(put((s0, held), (s1, r1), (s2, r2)), bar * 4, bar * 4 + 6, tuple(sorted((tied, other))))

    return grow


D5, D8 = ("direct-fifth",), ("direct-octave",)
RECIPES = [
    Recipe(
        "parallel-fifth",
        "The upper voice stands a fifth over the lower one twice running, both moving.",
        FUX,
        consecutive(4, 4, contrary=False),
        ALL,
    ),
    Recipe("parallel-fifth", "A twelfth and again a twelfth.", FUX, consecutive(11, 11, contrary=False), ALL),
    Recipe(
        "parallel-fifth",
        "The lower voice is written a fifth under the upper one twice running.",
        FUX,
        consecutive_below(4),
        ALL,
    ),
    Recipe(
        "parallel-octave",
        "The upper voice stands an octave over the lower one twice running.",
        FUX,
        consecutive(7, 7, contrary=False),
        ALL,
    ),
    Recipe(
        "parallel-octave",
        "The lower voice is written an octave under the upper one twice running.",
        FUX,
        consecutive_below(7),
        ALL,
    ),
    Recipe(
        "parallel-unison",
        "Two voices sing the same pitch twice running, and move.",
        FUX,
        consecutive(0, 0, contrary=False),
        ALL,
        ("unison-inside",),
    ),
    Recipe(
        "antiparallel-fifth",
        "A fifth opens to a twelfth in contrary motion.",
        GROVE,
        consecutive(4, 11, contrary=True),
        OLD,
    ),
    Recipe(
        "antiparallel-fifth",
        "A twelfth closes to a fifth in contrary motion.",
        GROVE,
        consecutive(11, 4, contrary=True),
        OLD,
    ),
    Recipe(
        "antiparallel-octave",
        "An octave closes to a unison, or opens to a double octave.",
        GROVE,
        consecutive(14, 7, contrary=True),
        OLD,
    ),
    Recipe(
        "antiparallel-octave",
        "An octave opens to a double octave in contrary motion.",
        GROVE,
        consecutive(7, 14, contrary=True),
        OLD,
    ),
    Recipe(
        "direct-fifth",
        "The outer voices go the same way into a fifth, the upper one by leap.",
        FUX,
        hidden(4, by_leap=True),
        ALL,
    ),
    Recipe(
        "direct-fifth",
        "The outer voices go the same way into a twelfth, the upper one by leap.",
        FUX,
        hidden(11, by_leap=True),
        ALL,
    ),
    Recipe(
        "direct-octave",
        "The outer voices go the same way into an octave, the upper one by leap.",
        FUX,
        hidden(7, by_leap=True),
        ALL,
    ),
    Recipe(
        "direct-octave",
        "The outer voices go the same way into a double octave, the upper one by leap.",
        FUX,
        hidden(14, by_leap=True),
        ALL,
    ),
    Recipe(
        "direct-unison", "Two neighbours go the same way into a unison.", FUX, hidden_unison, OLD, ("unison-inside",)
    ),
    Recipe(
        "parallel-strong",
        "Fifths on two first beats, with a step or third between.",
        GROVE.replace("741", "743"),
        downbeats(4, 4),
        OLD,
        D5,
    ),
    Recipe(
        "parallel-strong",
        "Octaves on two first beats, with steps or a third between.",
        GROVE.replace("741", "743"),
        downbeats(4, 7),
        OLD,
        D8,
    ),
    Recipe("parallel-strong", "Twelfths on two first beats.", GROVE.replace("741", "743"), downbeats(4, 11), OLD, D5),
    Recipe(
        "parallel-3-to-1",
        "Fifths on the third quarter and the next first one, a step between.",
        GROVE.replace("741", "743"),
        downbeats(2, 4),
        OLD,
        (*D5, "parallel-strong"),
    ),
    Recipe(
        "parallel-3-to-1",
        "Octaves on the third quarter and the next first one, a step between.",
        GROVE.replace("741", "743"),
        downbeats(2, 7),
        OLD,
        (*D8, "parallel-strong"),
    ),
    Recipe(
        "parallel-3-to-1",
        "Twelfths on the third quarter and the next first one, a step between.",
        GROVE.replace("741", "743"),
        downbeats(2, 11),
        OLD,
        (*D5, "parallel-strong"),
    ),
    Recipe(
        "susp-chain-perfect",
        "Ninths that resolve to octaves twice running: without the ties they are octaves.",
        CHERUBINI,
        delayed(7, above=True),
        ALL,
        ("susp-figure",),
    ),
]
