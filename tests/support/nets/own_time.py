"""Singing in its own time: what a stretch costs, the moments of a line, the cheapest way, and where the music then lies."""

from __future__ import annotations

from fractions import Fraction

from heard_frames import Sung, frames, quartet

from nets import Chance, Net
from nets.lines import HOP, WRITTEN, Writer, a_melody
from trainer.judge.alignment.costs import Cue, Sums, length, off
from trainer.judge.alignment.cues import cues
from trainer.judge.alignment.own_time import own_time
from trainer.judge.alignment.path import Item, cheapest
from trainer.judge.phonation import segments
from trainer.judge.pitchline import PitchLine
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings


def some_costs(chance: Chance) -> object:
    """Prices of pitches and lengths about their limits."""
    away = chance.of(0, 120_000, -120_000, 60_000, -60_000) + chance.beside(0, 4_000, 15_000, -4_000, -15_000, 9_000)
    expected = chance.of(0, 1, 2_000, 24_000)
    return off(away), length(chance.of(0, 1, expected, expected + 700, 2 * expected + 1, 3_000, 9_000), expected)


def some_sums(chance: Chance) -> object:
    """Running prices at frames inside and outside a line."""
    line = a_melody(chance).line
    sums = Sums(line, [WRITTEN, WRITTEN + 20_000])
    at = [
        chance.of(-5_000, -600, 0, 479, 480, 481, 12_000, 13_000, line.centres[-1], line.centres[-1] + 5_000)
        for _ in range(6)
    ]
    return sums.outside(at), [sums.note(asked, at) for asked in (None, WRITTEN, WRITTEN + 20_000)]


def some_moments(chance: Chance) -> object:
    """Where a note may begin, in a melody with dips in it."""
    writer = a_melody(chance)
    line = writer.line
    for _ in range(chance.of(0, 1, 3)):
        at, deep, wide = chance.whole(0, len(line) - 1), chance.of(39, 40, 41, 90), chance.of(1, 2, 6)
        for k in range(at, min(at + wide, len(line))):
            line.levels[k] -= deep - 5 * (k - at)
    steady = segments(line, line.centres[0], writer.at)
    return cues(line, steady) if steady else None


def a_way(chance: Chance) -> object:
    """A few notes sung with one left out, begun again, held too long or never reached."""
    pitches = [WRITTEN, WRITTEN + 20_000, WRITTEN - 20_000, WRITTEN, WRITTEN + 40_000][: chance.whole(1, 5)]
    order = list(range(len(pitches)))
    match chance.whole(0, 5):
        case 0:
            order.pop(chance.whole(0, len(order) - 1))
        case 1:
            order = order[: chance.whole(1, len(order))] + order[chance.whole(0, len(order) - 1) :]
        case 2:
            order = order[chance.whole(0, len(order) - 1) :]
        case 3:
            order = order[: chance.whole(1, len(order))]
        case _:
            pass
    writer, ends = Writer(), [0]
    for k in order or [0]:
        writer.write(chance.of(50, 50, 60, 25, 180), pitches[k] + chance.of(0, 0, 3_000, 9_000, 120_000), -250)
        ends.append(writer.at)
        if chance.happens(25):
            writer.silence(chance.of(10, 29, 30, 31, 60))
            ends.append(writer.at)
    moments = [Cue(frame, chance.of(0, 0, 200, 800)) for frame in ends]
    moments += [Cue(frame, 800) for frame in range(1_200, writer.at, 2_400) if frame not in ends]
    items = [Item(pitch if not chance.happens(10) else None, chance.of(50, 50, 60, 40) * HOP) for pitch in pitches]
    starts = [k for k in range(len(items)) if k == 0 or chance.happens(60)]
    sums = Sums(writer.line, pitches)
    return cheapest(items, starts, sorted(moments, key=lambda cue: cue.frame), sums)


def a_way_back(chance: Chance) -> object:
    """Notes of a second and more, so that going back to a bar is nearer than anything else; with a breath before it or without."""
    pitches = [WRITTEN + 20_000 * step for step in (0, 1, 2, 0, 3, 4, 1)][: chance.whole(3, 7)]
    begun, back = chance.whole(1, len(pitches) - 1), chance.of(1, 1, 2, 5, 6)
    order = [*range(begun + 1), *range(max(0, begun - back), len(pitches))]
    writer, ends = Writer(), [0]
    for place, k in enumerate(order):
        writer.write(chance.of(200, 240), pitches[k], -250)
        ends.append(writer.at)
        pause = chance.of(0, 0, 29, 30, 31) if place == begun else chance.of(0, 0, 0, 10)
        if pause:
            writer.silence(pause)
            ends.append(writer.at)
    items = [Item(pitch, chance.of(200, 240, 120) * HOP) for pitch in pitches]
    starts = [k for k in range(len(items)) if k == 0 or chance.happens(80)]
    moments = [Cue(frame, chance.of(0, 0, 200)) for frame in ends]
    return cheapest(items, starts, moments, Sums(writer.line, pitches))


ROWS = ("E5 D5 F5 E5 G5 F5 E5", "A3 C4 B3 D4 C4 G3 A3")


def a_take(chance: Chance) -> object:
    """A line of a two-part score sung at any pace, with what singers without a click do."""
    row = [word if k in (0, 6) or not chance.happens(12) else "-" for k, word in enumerate(ROWS[1].split())][
        : chance.whole(2, 7)
    ]
    score = quartet(ROWS[0], " ".join(row))
    plan = make_plan(score, (1,), Settings(time="free"))
    notes = list(score.lines[1].notes)
    order = list(range(len(notes)))
    match chance.whole(0, 4):
        case 0:
            order.pop(chance.whole(0, len(order) - 1))
        case 1:
            back = chance.whole(0, len(order) - 1)
            order = order[: back + 1] + order[max(0, back - chance.of(0, 1)) :]
        case _:
            pass
    pace, at, shift = chance.of(0.25, 0.4), 0.5, chance.of(0, 0, 0, -12, 24)
    wrong = chance.of(0, 0, 0, 1, 3)
    sung = []
    for k in order:
        lasts = float(notes[k].length_quarters) * pace / 4 * chance.of(1.0, 1.0, 1.25, 0.75)
        midi = notes[k].pitch.midi + shift + (wrong if chance.happens(40) else 0)
        sung.append(Sung(at, at + lasts - 0.02, float(midi), level_db10=-250))
        at += lasts + chance.of(0, 0, 0, 0.2)
    line = PitchLine()
    for frame in frames(sung, at + 0.2):
        line.append(frame)
    return own_time(plan, plan.lines[0], line)


def a_slow_take(chance: Chance) -> object:
    """The same with notes of a second or so."""
    score = quartet("E5 D5 F5 E5", "A3 - B3 D4" if chance.happens(40) else "A3 C4 B3 D4")
    plan = make_plan(score, (1,), Settings(time="free", tempo_qpm=Fraction(chance.of(60, 240))))
    at, sung = 0.3, []
    notes = list(score.lines[1].notes)
    for k, one in enumerate([*notes[:2], *notes[1:]] if chance.happens(40) else notes):
        if k and chance.happens(10):
            continue
        lasts = chance.of(0.8, 1.0, 1.2)
        sung.append(Sung(at, at + lasts - 0.01, one.pitch.midi + chance.of(0.0, 0.0, 0.3, 2.0)))
        at += lasts + chance.of(0.0, 0.0, 0.5)
    line = PitchLine()
    for frame in frames(sung, at + 0.1):
        line.append(frame)
    return own_time(plan, plan.lines[0], line)


NETS = (
    Net("costs", ("costs",), some_costs, 500),
    Net("sums", ("costs",), some_sums, 100),
    Net("moments", ("cues",), some_moments, 300),
    Net("ways", ("path", "costs"), a_way, 250),
    Net("ways back", ("path", "costs"), a_way_back, 200),
    Net("own time", ("own_time", "path", "cues", "costs"), a_take, 50),
    Net("own time slowly", ("own_time", "path", "cues"), a_slow_take, 40),
)
