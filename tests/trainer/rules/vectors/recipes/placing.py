"""Bare chords, crossings, unisons, distances, marches, endless thirds and doubled leading notes."""

from __future__ import annotations

from collections.abc import Iterator

from planting import Ground, Grow, Plant, Recipe, Spot, put
from verticals import ALL, OLD, STRICT, TRADE, gap, spot_at


def bare(ground: Ground, rules: str) -> Iterator[Plant]:
    """Thirds and sixths of one first beat are rewritten as fifths and octaves of the bass."""
    if ground.parts < (3 if rules == "tonal" else 4):
        return
    low = ground.parts - 1
    for bar in range(1, ground.bars - 2):
        notes = [ground.at(v, bar * 4) for v in range(ground.parts)]
        bass = notes[low]
        if bass is None or any(n is None or n.onset != bar * 4 for n in notes):
            continue
        coloured = [n for n in notes if n is not None and n is not bass and gap(n, bass)[0] in (2, 5)]
        if not 0 < len(coloured) < 3 or any(ground.species[n.voice] == "cantus" for n in coloured):
            continue
        for shift in (-1, 1, -2, 2):
            new = [spot_at(ground, n, n.place + shift) for n in coloured]
            if all(gap(n, bass) in {(0, 0), (4, 7)} for n in new):
                edits = put(*((a, b.name) for a, b in zip(coloured, new, strict=True)))
                yield Plant(edits, bar * 4, bar * 4, tuple(range(ground.parts)))


def crossed(ground: Ground, rules: str) -> Iterator[Plant]:
    """On an inner first beat the upper of two neighbours is written under the lower one."""
    for spot in ground.movable():
        below = ground.at(spot.voice + 1, spot.onset) if spot.voice + 1 < ground.parts else None
        if below is None or spot.beat != 1 or not 0 < spot.bar < ground.bars - 2:
            continue
        for size in (1, 2, 3):
            new = spot_at(ground, spot, below.place - size)
            if new.midi < below.midi:
                yield Plant(put((spot, new.name)), spot.onset, spot.onset, (spot.voice, spot.voice + 1))


def crossed_above(ground: Ground, rules: str) -> Iterator[Plant]:
    """The lower of two neighbours is written over the upper one."""
    for spot in ground.movable():
        above = ground.at(spot.voice - 1, spot.onset) if spot.voice else None
        if above is None or spot.beat != 1 or not 0 < spot.bar < ground.bars - 2:
            continue
        for size in (1, 2, 3):
            new = spot_at(ground, spot, above.place + size)
            yield Plant(put((spot, new.name)), spot.onset, spot.onset, (spot.voice - 1, spot.voice))


def crossed_ends(ground: Ground, rules: str) -> Iterator[Plant]:
    """In the first or the last chord the bass stands over its neighbour, or that one under the bass."""
    first = "CDEFGAB".index(ground.mode[0])
    for low in range(1, ground.parts):
        for moment in (0, int(ground.end) - 4):
            bass, above = ground.at(low, moment), ground.at(low - 1, moment)
            if bass is None or above is None or bass.onset != above.onset:
                continue
            for who, other, way in ((bass, above, 1), (above, bass, -1)):
                before = ground.after(who, -1)
                rises = before is not None and before.place == who.place - 1
                if ground.species[who.voice] == "cantus" or (moment and (rises or ground.parts == 2)):
                    continue
                for size in (2, 3, 4, 5, 7):
                    new = spot_at(ground, who, who.place + size * way)
                    near = rules == "strict16" and low < ground.parts - 1 and abs(new.place - other.place) <= 3
                    if near or (new.midi - other.midi) * way <= 0 or (new.place - first) % 7 not in (0, 2, 4):
                        continue  # Fux has two upper voices crossed by a third or fourth
                    yield Plant(put((who, new.name)), moment, moment, (low - 1, low))


def same_pitch(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two parts meet on one pitch on an inner first beat."""
    if ground.parts != 2:
        return
    for spot in ground.movable():
        other = ground.at(1 - spot.voice, spot.onset)
        if other is not None and spot.beat == 1 and 0 < spot.bar < ground.bars - 2:
            yield Plant(put((spot, other.name)), spot.onset, spot.onset, (0, 1))


def far_apart(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two upper neighbours more than a tenth from each other on a first beat."""
    for spot in ground.movable():
        below = ground.at(spot.voice + 1, spot.onset) if spot.voice + 2 < ground.parts else None
        if below is None or spot.beat != 1 or not 0 < spot.bar < ground.bars - 2 or below.onset != spot.onset:
            continue
        for size in (10, 11, 12):
            new = spot_at(ground, spot, below.place + size)
            yield Plant(put((spot, new.name)), spot.onset, spot.onset, (spot.voice, spot.voice + 1))
    for spot in ground.movable():
        above = ground.at(spot.voice - 1, spot.onset) if 0 < spot.voice < ground.parts - 1 else None
        if above is None or spot.beat != 1 or not 0 < spot.bar < ground.bars - 2:
            continue
        for size in (10, 11):
            yield Plant(
                put((spot, ground.pitch(above.place - size))), spot.onset, spot.onset, (spot.voice - 1, spot.voice)
            )


def marching(ground: Ground, rules: str) -> Iterator[Plant]:
    """Every voice goes the same way into a bar, the top one by a fifth."""
    if ground.parts < 3:
        return
    for bar in range(1, ground.bars - 2):
        notes = [ground.at(v, bar * 4) for v in range(ground.parts)]
        before = [ground.at(v, bar * 4 - 1) for v in range(ground.parts)]
        if any(n is None or n.onset != bar * 4 for n in notes) or any(b is None for b in before):
            continue
        pairs = [(b, n) for b, n in zip(before, notes, strict=True) if b is not None and n is not None]
        ways = [n.place - b.place for b, n in pairs]
        for v, (b, n) in enumerate(pairs):
            rest = {(w > 0) - (w < 0) for k, w in enumerate(ways) if k != v}
            if ground.species[v] == "cantus" or len(rest) != 1 or rest == {0}:
                continue
            if ground.species.count("cantus") and abs(ways[ground.species.index("cantus")]) == 7:
                continue
            (way,) = rest
            yield Plant(
                put((n, ground.pitch(b.place + way * 4))),
                b.onset if b.onset > pairs[0][0].onset else pairs[0][0].onset,
                bar * 4,
                tuple(range(ground.parts)),
            )


def four_thirds(size: int) -> Grow:
    """Two parts go four times running in thirds, or sixths, with the cantus."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        if ground.parts != 2 or set(ground.species) != {"1", "cantus"}:
            return
        mover = ground.species.index("1")
        sign = 1 if mover == 0 else -1
        for bar in range(1, ground.bars - 5):
            cantus = [ground.at(1 - mover, (bar + k) * 4) for k in range(4)]
            own = [ground.at(mover, (bar + k) * 4) for k in range(4)]
            if any(c is None for c in cantus) or any(o is None for o in own):
                continue
            changes = [(o, ground.pitch(c.place + sign * size)) for o, c in zip(own, cantus, strict=True) if o and c]
            yield Plant(put(*changes), bar * 4, bar * 4 + 12, (0, 1))

    return grow


def doubled_sharp(ground: Ground, rules: str) -> Iterator[Plant]:
    """A second voice takes the raised leading note of the last bar but one."""
    moment = int(ground.end) - 8
    for beat in (0, 2, 3):
        notes = [s for v in range(ground.parts) if (s := ground.at(v, moment + beat)) is not None]
        raised = [s for s in notes if "#" in s.name and s.end > moment + beat and s.end == ground.end - 4]
        for sharp in raised:
            for other in notes:
                if other.voice == sharp.voice or ground.species[other.voice] == "cantus" or other.end != ground.end - 4:
                    continue
                for octave in (-7, 0, 7, 14, -14):
                    name = f"{sharp.name[:-1]}{int(sharp.name[-1]) + octave // 7}"
                    new = Spot(other.voice, other.index, other.onset, other.length, name)
                    if abs(new.place - other.place) <= 4:
                        start = max(other.onset, sharp.onset)
                        last = ground.after(other)
                        if last is None:
                            continue
                        final = Spot(last.voice, last.index, last.onset, last.length, ground.pitch(new.place + 1))
                        edits = put((other, name), (last, final.name))
                        yield Plant(edits, start, start, tuple(sorted((other.voice, sharp.voice))))


RECIPES = [
    Recipe(
        "third-present",
        "A first beat with fifths and octaves only.",
        "Cherubini 1835, four parts, first order",
        bare,
        ALL,
    ),
    Recipe(
        "crossing",
        "The upper of two neighbours goes under the lower on a first beat.",
        TRADE,
        crossed,
        ("conservatoire", "tonal"),
    ),
    Recipe(
        "crossing",
        "The lower of two neighbours goes over the upper on a first beat.",
        TRADE,
        crossed_above,
        ("conservatoire", "tonal"),
    ),
    Recipe(
        "crossing-at-ends",
        "Two neighbours are crossed in the first or last chord.",
        TRADE,
        crossed_ends,
        ALL,
        ("starts-on", "ends-on"),
    ),
    Recipe(
        "unison-inside",
        "Two parts meet on one pitch on an inner first beat.",
        "Cherubini 1835, two parts, first order",
        same_pitch,
        OLD,
    ),
    Recipe(
        "spacing-upper",
        "Two upper neighbours more than a tenth apart.",
        "Lehmann, Simple Counterpoint, lesson XI",
        far_apart,
        ("tonal",),
    ),
    Recipe("all-same-way", "All voices go one way into a chord, one of them by a fifth.", TRADE, marching, STRICT),
    Recipe("too-many-parallel-imperfect", "Four thirds running with the cantus.", TRADE, four_thirds(2), STRICT),
    Recipe("too-many-parallel-imperfect", "Four tenths running with the cantus.", TRADE, four_thirds(9), STRICT),
    Recipe("too-many-parallel-imperfect", "Four sixths running with the cantus.", TRADE, four_thirds(5), STRICT),
    Recipe(
        "double-tendency",
        "Two voices have the raised leading note.",
        "Cherubini 1835, three parts, rule 2",
        doubled_sharp,
        ALL,
        ("parallel-octave", "parallel-unison", "double-third"),
    ),
]
