"""Every dissonance of a score, and what makes it: classified before any rule judges it.

A dissonance begins where two sounding tones first clash: with the bass anything but a third, perfect fifth, sixth or octave, above it
seconds and sevenths and what is altered. One of the two tones is the dissonant one: a tone held into an accent is suspended, otherwise
the tone struck is (passing, neighbour, and so on, by how it is reached and left). Shapes say how a tone moves, not whether it may:
that is for the rules (the shapes are those of Fux 1725, Rockstro 1883 and Bridge c. 1878; words are the trade's).
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.rules.chord import chord_of
from trainer.rules.intervals import (
    AUGMENTED_FIFTH,
    CONSONANT_ABOVE,
    CONSONANT_WITH_BASS,
    DIMINISHED_FIFTH,
    DIMINISHED_FOURTH,
    FOURTH,
    TRITONE,
    simple,
)
from trainer.rules.suspension import Suspension, consonant, read_suspension
from trainer.rules.texture import HALF, STRONG, Slice, Texture, Tone, joined

PASSING, NEIGHBOUR, CAMBIATA, DOUBLE_NEIGHBOUR = "passing", "neighbour", "cambiata", "double neighbour"
ANTICIPATION, SUSPENSION, PEDAL = "anticipation", "suspension", "pedal"
LEFT_BY_LEAP, REACHED_BY_LEAP, LEAPT, ALONE = "left by leap", "reached by leap", "leapt", "alone"
BROKEN_CAMBIATA, RESTRUCK = "broken cambiata", "restruck"
LAWFUL_SHAPES = frozenset({PASSING, NEIGHBOUR, CAMBIATA, DOUBLE_NEIGHBOUR})


class Dissonance(NamedTuple):
    """One tone that is dissonant from ``at`` on.

    ``against`` are the tones it clashes with, ``shape`` how it moves, ``weight`` the accent of the moment, ``struck_together`` the
    tones of ``against`` that are struck with it. ``vertical`` is what stands there: "fourth", "six-four", "tritone" (over the bass),
    "augmented" (a whole triad), "diminished fourth" (or its inversion, between upper voices only), "seventh" (a chordal one is
    possible), or "second or seventh". ``bass`` is the lowest tone there.
    """

    at: int
    tone: Tone
    against: tuple[Tone, ...]
    shape: str
    weight: int
    struck_together: tuple[Tone, ...]
    vertical: str
    suspension: Suspension | None
    bass: Tone


def find_dissonances(texture: Texture) -> tuple[Dissonance, ...]:
    """All of them in order of time, the dissonant tones of one moment from the top."""
    found: list[Dissonance] = []
    suspended: list[Suspension] = []
    before: set[tuple[int, int, int]] = set()
    for here in texture.slices:
        now = {(id(x), id(y), 0): (x, y) for x, y in _clashing(here)}
        fresh = [pair for key, pair in now.items() if key not in before]
        before = set(now)
        guilty: dict[Tone, list[Tone]] = {}
        # clashes with what is held come first: they show what is suspended
        for x, y in sorted(fresh, key=lambda pair: pair[0].on == pair[1].on):
            if here.on not in (x.on, y.on):
                continue  # laid bare by a voice that stops, not struck
            if any(_told_before(one, here.on, x, y) for one in suspended):
                continue
            if any(_doubles(texture, here, held, x, y) for held in guilty):
                continue
            tone, other = _dissonant_one(texture, here, x, y)
            guilty.setdefault(tone, []).append(other)
        for tone in sorted(_merged(guilty), key=lambda one: one.voice):
            one = _dissonance(texture, here, tone, tuple(guilty[tone]))
            found.append(one)
            if one.suspension is not None:
                suspended.append(one.suspension)
    return tuple(found)


def _clashing(here: Slice) -> list[tuple[Tone, Tone]]:
    sounding, bass = here.sounding, here.bass
    found = []
    for index, x in enumerate(sounding):
        for y in sounding[index + 1 :]:
            lawful = CONSONANT_WITH_BASS if x is bass or y is bass else CONSONANT_ABOVE
            if simple(x, y) not in lawful:
                found.append((x, y))
    return found


def _doubles(texture: Texture, here: Slice, held: Tone, x: Tone, y: Tone) -> bool:
    """Whether one of two tones struck together only doubles a suspended one that falls a step: that is one event with the suspension."""
    after = texture.after(held)
    falls = joined(held, after) and after is not None and after.dia == held.dia - 1
    same = [(tone.letter, tone.alter) == (held.letter, held.alter) for tone in (x, y)]
    return held.on < here.on == x.on == y.on and falls and any(same)


def _told_before(one: Suspension, at: int, x: Tone, y: Tone) -> bool:
    """Whether a clash belongs to a suspension that began before: with the tone that still waits, or with a note of its ornament."""
    if one.holds(at) and one.at < at:
        return _explains(one, x, y)
    resolution = one.resolution
    return resolution is not None and any(_between(one.held, tone, resolution) for tone in (x, y))


def _between(held: Tone, tone: Tone, resolution: Tone) -> bool:
    return tone.voice == held.voice and held.place < tone.place < resolution.place


def _explains(one: Suspension, x: Tone, y: Tone) -> bool:
    """Whether a clash with a tone still suspended would be none with its resolution."""
    if one.held not in (x, y):
        return False
    other = y if one.held is x else x
    resolution = one.resolution
    return resolution is None or simple(resolution, other) in CONSONANT_ABOVE


def _merged(guilty: dict[Tone, list[Tone]]) -> list[Tone]:
    """A tone that clashes only with tones that are themselves dissonant here is not one more dissonance."""
    kept = [tone for tone, others in guilty.items() if any(other not in guilty for other in others)]
    return kept or list(guilty)[:1]


def _dissonant_one(texture: Texture, here: Slice, x: Tone, y: Tone) -> tuple[Tone, Tone]:
    """Which of two clashing tones is the dissonant one, and the other."""
    at = here.on
    if (x.on == at) != (y.on == at):
        struck, held = (x, y) if x.on == at else (y, x)
        return (held, struck) if is_suspended(texture, held, struck, at) else (struck, held)
    again = (_restruck(texture, x), _restruck(texture, y))
    if texture.weight(at) == STRONG and again[0] != again[1]:
        return (x, y) if again[0] else (y, x)
    one, other = shape_of(texture, x) in LAWFUL_SHAPES, shape_of(texture, y) in LAWFUL_SHAPES
    if one != other and texture.weight(at) < STRONG:
        return (x, y) if one else (y, x)
    if x.length != y.length:
        return (x, y) if x.length < y.length else (y, x)
    clashes = _clashing(here)
    count = {tone: sum(tone in pair for pair in clashes) for tone in (x, y)}
    return (y, x) if count[y] > count[x] and y is not here.bass else (x, y)


def is_suspended(texture: Texture, held: Tone, struck: Tone, at: int) -> bool:
    """Whether *held* is the dissonant one of the two: it was begun on a lighter moment, or it resolves as a suspension does."""
    weight = texture.weight(at)
    if weight < HALF and texture.weight(held.on) >= weight:
        return False
    after = texture.after(held)
    falls = after is not None and joined(held, after) and after.dia == held.dia - 1
    if weight == STRONG:
        # a tone begun on an accent and held through the next is long, not tied over
        return falls or texture.weight(held.on) < STRONG
    return falls and texture.weight(held.on) < weight and shape_of(texture, struck) not in LAWFUL_SHAPES


def _dissonance(texture: Texture, here: Slice, tone: Tone, against: tuple[Tone, ...]) -> Dissonance:
    at, weight = here.on, texture.weight(here.on)
    bass = here.bass or tone
    together = tuple(other for other in against if other.on == at and tone.on == at)
    suspension = None
    if tone.on < at:
        suspension = read_suspension(texture, tone, at, against, bass)
        shape = SUSPENSION
    elif weight == STRONG and _restruck(texture, tone):
        suspension = read_suspension(texture, tone, at, against, bass)
        shape = RESTRUCK
    else:
        shape = shape_of(texture, tone)
        if shape not in LAWFUL_SHAPES and any(_pedal(texture, other, here) for other in against):
            shape = PEDAL
    return Dissonance(
        at, tone, against, shape, weight, together, _vertical(here, bass, tone, against), suspension, bass
    )


def _restruck(texture: Texture, tone: Tone) -> bool:
    """Whether it repeats a consonance from a lighter moment and falls a step: a suspension but for its tie."""
    before, after = texture.before(tone), texture.after(tone)
    if before is None or after is None or not joined(before, tone) or not joined(tone, after):
        return False
    lighter = texture.weight(before.on) < texture.weight(tone.on)
    return lighter and before.midi == tone.midi and after.dia == tone.dia - 1 and consonant(texture, before)


def _pedal(texture: Texture, tone: Tone, here: Slice) -> bool:
    bar = texture.bar_at(tone.on)
    return tone is here.bass and tone.length >= 2 * (bar.end - bar.on) and tone.on < here.on


def shape_of(texture: Texture, tone: Tone) -> str:
    """How a struck tone is reached and left, as the shapes of dissonances are told."""
    before, after = texture.before(tone), texture.after(tone)
    if before is None or after is None or not joined(before, tone) or not joined(tone, after):
        return ALONE
    came, goes = tone.dia - before.dia, after.dia - tone.dia
    if goes == 0:
        return ANTICIPATION
    if abs(came) == 1 and abs(goes) == 1:
        return PASSING if came == goes else NEIGHBOUR
    if abs(came) == 1 and goes == 2 * came:
        return CAMBIATA if _is_cambiata(texture, before, tone, after) else _broken(texture, before, tone)
    if abs(came) == 1 and goes == -2 * came and _is_double_neighbour(texture, before, after):
        return DOUBLE_NEIGHBOUR
    if abs(goes) == 1 and abs(came) == 2 and _ends_double_neighbour(texture, before, tone, after):
        return DOUBLE_NEIGHBOUR
    if abs(came) == 1:
        return LEFT_BY_LEAP
    return REACHED_BY_LEAP if abs(goes) == 1 else LEAPT


def _broken(texture: Texture, before: Tone, tone: Tone) -> str:
    """A leap of a third on from a quarter after an accent sets out as a cambiata does; from anything else it is a leap."""
    quarter = texture.bar_at(tone.on).grid
    sets_out = texture.weight(before.on) >= HALF and texture.weight(tone.on) < HALF and tone.length <= quarter
    return BROKEN_CAMBIATA if sets_out else LEFT_BY_LEAP


def _is_cambiata(texture: Texture, first: Tone, second: Tone, third: Tone) -> bool:
    """First consonant and accented, second a step on and weak, third a third on and consonant, fourth a step back."""
    fourth = texture.after(third)
    if fourth is None or not joined(third, fourth) or texture.weight(second.on) >= HALF:
        return False
    back = (fourth.dia - third.dia) * (second.dia - first.dia)
    accented = texture.weight(second.on - texture.bar_at(second.on).grid) >= HALF
    return back == -1 and accented and consonant(texture, first) and consonant(texture, third)


def _is_double_neighbour(texture: Texture, first: Tone, third: Tone) -> bool:
    fourth = texture.after(third)
    return fourth is not None and joined(third, fourth) and _frames(texture, first, fourth)


def _frames(texture: Texture, first: Tone, fourth: Tone) -> bool:
    """Whether two neighbours lie between an accented note and the very same note in one bar."""
    same = (first.dia, first.midi) == (fourth.dia, fourth.midi)
    return same and texture.weight(first.on) == STRONG and texture.bar_at(first.on) == texture.bar_at(fourth.on)


def _ends_double_neighbour(texture: Texture, before: Tone, tone: Tone, after: Tone) -> bool:
    first = texture.before(before)
    return (
        first is not None
        and joined(first, before)
        and _frames(texture, first, after)
        and abs(before.dia - first.dia) == 1
        and (before.dia - first.dia) * (tone.dia - before.dia) < 0
    )


def _vertical(here: Slice, bass: Tone, tone: Tone, against: tuple[Tone, ...]) -> str:
    chord = chord_of(here.sounding, bass)
    altered = {simple(tone, other) for other in against} <= {DIMINISHED_FOURTH, AUGMENTED_FIFTH}
    if chord is not None and chord.quality == "augmented":
        return "augmented"
    if altered and tone is not bass and bass not in against:
        return "diminished fourth"
    seventh = chord is not None and chord.seventh is not None and 3 in chord.members.values()
    if seventh and len(here.sounding) > 3:
        return "seventh"
    if tone is bass or bass in against:
        others = against if tone is bass else (tone,)
        sizes = {simple(bass, other) for other in others}
        if sizes & {TRITONE, DIMINISHED_FIFTH}:
            return "tritone"
        if sizes <= {FOURTH}:
            sixth = any((other.dia - bass.dia) % 7 == 5 for other in here.sounding)
            return "six-four" if sixth else "fourth"
    if seventh:
        return "seventh"
    return "second or seventh"
