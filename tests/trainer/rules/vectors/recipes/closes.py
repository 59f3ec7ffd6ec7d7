"""Openings, closes, leading notes, false relations, the minor's two notes, augmented triads, two moving voices."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from planting import Ground, Plant, Recipe, put
from verticals import OVER_BASS, gap, spot_at

ALL = ("strict16", "conservatoire", "tonal")
OLD = ("strict16", "conservatoire")
STRICT = ("strict16",)
FUX = "Fux 1725, first book, note against note"
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), p. 742"
CHERUBINI = "Cherubini 1835, two parts, first order"
TRADE = "common practice, no source"


def first_letter(ground: Ground) -> int:
    return "CDEFGAB".index(ground.mode[0])


def starts_elsewhere(ground: Ground, rules: str) -> Iterator[Plant]:
    """The first note of one voice makes an imperfect consonance (two parts) or is no member of the final's triad."""
    cantus = ground.species.index("cantus")
    for voice in range(ground.parts):
        first = ground.spots[voice][0]
        if voice == cantus:
            continue
        for size in (1, 2, 3, -1, -2, -3, 4, -4):
            new = spot_at(ground, first, first.place + size)
            degree = (new.place - first_letter(ground)) % 7
            if ground.parts == 2:
                bad = degree in (2, 5) or (degree == 4 and voice == 1)
            elif voice == ground.parts - 1:
                bad = degree == 5 and first.onset == 0
            else:
                bad = degree == 5 and first.onset == 0
            if bad:
                yield Plant(put((first, new.name)), first.onset, first.onset, tuple(range(ground.parts)))


def ends_elsewhere(ground: Ground, rules: str) -> Iterator[Plant]:
    """The last chord has a sixth, or in two parts a third or fifth; the voice with the leading note is left alone."""
    for voice in range(ground.parts):
        last = ground.spots[voice][-1]
        before = ground.after(last, -1)
        if ground.species[voice] == "cantus" or before is None or last.length < 4:
            continue
        rises = before.place == last.place - 1
        if rises and ground.parts > 2:
            continue
        for size in (1, 2, -1, -2, -3):
            new = spot_at(ground, last, last.place + size)
            degree = (new.place - first_letter(ground)) % 7
            if degree == 5 or (ground.parts == 2 and degree in (2, 4)):
                yield Plant(put((last, new.name)), last.onset, last.onset, tuple(range(ground.parts)))


def minor_close(ground: Ground, rules: str) -> Iterator[Plant]:
    """The third of the last chord is minor."""
    if ground.parts < 3:
        return
    for voice in range(ground.parts - 1):
        last = ground.spots[voice][-1]
        bass = ground.spots[-1][-1]
        before = ground.after(last, -1)
        if (
            ground.species[voice] == "cantus"
            or before is None
            or (before.place == last.place - 1 and "#" in before.name)
        ):
            continue
        for size in (0, 1, -1, 2, -2):
            new = spot_at(ground, last, last.place + size)
            if gap(new, bass) == (2, 3) and new.midi > bass.midi:
                yield Plant(put((last, new.name)), last.onset, last.onset, (voice,))


def natural_seventh(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two parts: the note under the final keeps the mode's whole tone at the close."""
    if ground.parts != 2:
        return
    voice = 1 - ground.species.index("cantus")
    last = ground.spots[voice][-1]
    close = [s for s in ground.spots[voice] if s.end > ground.end - 8 and s is not last and "#" in s.name]
    if close:
        yield Plant(put(*((s, ground.pitch(s.place)) for s in close)), close[-1].onset, last.onset, (0, 1))


def fifth_before_close(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two parts: the voice that should rise from the leading note leaps to the final from another consonance."""
    if ground.parts != 2:
        return
    voice = 1 - ground.species.index("cantus")
    last = ground.spots[voice][-1]
    before = ground.after(last, -1)
    if before is None:
        return
    other = ground.at(1 - voice, before.onset)
    for size in (-3, -2, 2, 3):
        new = spot_at(ground, before, last.place + size)
        if other is not None and gap(new, other) in OVER_BASS:
            yield Plant(put((before, new.name)), before.onset, last.onset, (0, 1))


def leading_note_leaves(ground: Ground, rules: str) -> Iterator[Plant]:
    """The raised leading note goes to another note of the last chord than the final."""
    if ground.parts < 3:
        return
    for voice in range(ground.parts):
        last = ground.spots[voice][-1]
        before = ground.after(last, -1)
        if (
            before is None
            or "#" not in before.name
            or before.place != last.place - 1
            or ground.species[voice] == "cantus"
        ):
            continue
        inner = 0 < voice < ground.parts - 1
        for size in (-3, 4, 2):
            if size == -3 and inner and rules == "tonal":
                continue  # an inner leading note may fall a third there
            if voice == ground.parts - 1:
                continue
            new = spot_at(
                ground,
                last,
                last.place + size,
                1 if size == 2 and gap(spot_at(ground, last, last.place + 2), last) == (2, 3) else 0,
            )
            yield Plant(put((last, new.name)), before.onset, last.onset, (voice,))


def outer_relation(ground: Ground, rules: str) -> Iterator[Plant]:
    """A letter in one outer voice, and at once its altered form in the other."""
    top, low = 0, ground.parts - 1
    for one, two in ((top, low), (low, top)):
        for a in ground.spots[one]:
            for b in ground.spots[two]:
                if b.onset != a.end or a.place % 7 != b.place % 7 or a.name[:-1] != b.name[:-1] or b.end == ground.end:
                    continue
                for who in (a, b):
                    if ground.species[who.voice] == "cantus":
                        continue
                    for alter in (1, -1):
                        new = spot_at(ground, who, who.place, alter)
                        if "##" in new.name or "bb" in new.name:
                            continue
                        yield Plant(put((who, new.name)), a.onset, b.onset, (top, low))
    for one, two in ((top, low), (low, top)):
        for a in ground.spots[one]:
            for b in ground.spots[two]:
                if b.onset != a.end or b.end == ground.end or ground.species[two] == "cantus":
                    continue
                for octave in (-14, -7, 0, 7, 14):
                    for alter in (1, -1):
                        new = spot_at(ground, b, a.place + octave, alter)
                        if (
                            abs(new.place - b.place) <= 3
                            and "##" not in new.name
                            and "bb" not in new.name
                            and a.name == ground.pitch(a.place)
                        ):
                            yield Plant(put((b, new.name)), a.onset, b.onset, (top, low))


def raised_going_down(ground: Ground, rules: str) -> Iterator[Plant]:
    """Minor: the seventh and sixth degrees are raised on the way down, or natural on the way up, inside the line."""
    if not ground.mode.endswith("minor"):
        return
    final = first_letter(ground)
    for spot in ground.movable():
        after = ground.after(spot)
        if after is None or after.onset != spot.end or after.end > ground.end - 4:
            continue
        degrees = (spot.place - final) % 7, (after.place - final) % 7
        plain = spot.name == ground.pitch(spot.place) and after.name == ground.pitch(after.place)
        if degrees == (6, 5) and plain and after.place < spot.place:
            yield Plant(
                put((spot, ground.pitch(spot.place, 1)), (after, ground.pitch(after.place, 1))),
                spot.onset,
                after.onset,
                (spot.voice,),
            )
        if degrees == (5, 4) and plain and after.place < spot.place:
            yield Plant(put((spot, ground.pitch(spot.place, 1))), spot.onset, after.onset, (spot.voice,))
        if degrees == (5, 6) and not plain and after.place > spot.place and spot.end < ground.end - 8:
            third = ground.after(after)
            if third is not None and (third.place - final) % 7 == 0:
                yield Plant(
                    put((spot, ground.pitch(spot.place)), (after, ground.pitch(after.place))),
                    spot.onset,
                    third.onset,
                    (spot.voice,),
                )


def raised_fifth(ground: Ground, rules: str) -> Iterator[Plant]:
    """Three or four voices strike a major triad whose fifth is raised."""
    if ground.parts < 3:
        return
    for bar in range(1, ground.bars - 2):
        notes = [s for v in range(ground.parts) if (s := ground.at(v, bar * 4)) is not None and s.onset == bar * 4]
        if len(notes) < ground.parts:
            continue
        bass = min(notes, key=lambda s: s.midi)
        fifths = [s for s in notes if gap(s, bass) == (4, 7)]
        thirds = [s for s in notes if gap(s, bass) == (2, 4)]
        if len(fifths) == 1 and thirds and ground.species[fifths[0].voice] != "cantus":
            new = spot_at(ground, fifths[0], fifths[0].place, 1)
            if "##" not in new.name:
                yield Plant(put((fifths[0], new.name)), bar * 4, bar * 4, tuple(range(ground.parts)))


def moving_clash(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two moving voices strike fifth and sixth of the bass together off the first beat, one by leap or both the same way."""
    for one in ground.movable():
        if one.beat == 1 or not ground.quick(one.voice) or not 0 < one.bar < ground.bars - 2:
            continue
        bass = ground.below(one.onset)
        for voice in range(one.voice + 1, ground.parts):
            two = ground.at(voice, one.onset)
            if two is None or bass is None or two.onset != one.onset or not ground.quick(voice) or bass in (one, two):
                continue
            befores = ground.after(one, -1), ground.after(two, -1)
            for high, low in product(range(one.place - 4, one.place + 5), range(two.place - 4, two.place + 5)):
                a, b = spot_at(ground, one, high), spot_at(ground, two, low)
                if gap(a, bass) not in OVER_BASS or gap(b, bass) not in OVER_BASS or gap(a, b)[0] not in (1, 6):
                    continue
                ways = [s.place - before.place for s, before in zip((a, b), befores, strict=True) if before is not None]
                if len(ways) == 2 and (max(map(abs, ways)) > 1 or ways[0] * ways[1] > 0) and b.place < a.place:
                    yield Plant(put((one, a.name), (two, b.name)), one.onset, one.onset, (one.voice, voice))


C = ("clausula", "leading-tone-goes-up")
RECIPES = [
    Recipe(
        "starts-on", "The first chord is not perfect (two parts), or not the final's.", CHERUBINI, starts_elsewhere, OLD
    ),
    Recipe("ends-on", "The last chord is not the final's.", CHERUBINI, ends_elsewhere, OLD, (*C, "picardy")),
    Recipe("picardy", "The last chord has a minor third.", GROVE, minor_close, STRICT, ("ends-on",)),
    Recipe(
        "clausula",
        "The note under the final is not raised at the close.",
        GROVE,
        natural_seventh,
        ALL,
        ("leading-tone-goes-up", "minor-6-7"),
    ),
    Recipe(
        "clausula",
        "The final is reached by leap in place of the leading note.",
        GROVE,
        fifth_before_close,
        ALL,
        ("leading-tone-goes-up",),
    ),
    Recipe(
        "leading-tone-goes-up",
        "The raised leading note goes elsewhere than to the final.",
        GROVE,
        leading_note_leaves,
        ALL,
        ("minor-6-7",),
    ),
    Recipe(
        "cross-relation",
        "A letter in one outer voice, and at once its altered form in the other.",
        "Cherubini 1835, on false relation",
        outer_relation,
        STRICT,
    ),
    Recipe(
        "minor-6-7",
        "Raised on the way down, or natural on the way up.",
        "Lehmann, Simple Counterpoint; common practice",
        raised_going_down,
        ALL,
        ("augmented-leap",),
    ),
    Recipe(
        "augmented-triad",
        "A major triad whose fifth is raised.",
        GROVE,
        raised_fifth,
        OLD,
        ("all-consonant", "dissonance-struck"),
    ),
    Recipe(
        "clash-of-moving",
        "Two moving voices strike a second or seventh together, one of them by leap.",
        "Bridge, Counterpoint (c. 1878), ch. 10",
        moving_clash,
        ALL,
        ("dissonance-weak", "dissonance-struck", "seventh-allowed"),
    ),
]
