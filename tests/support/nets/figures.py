"""Rows of figures: one pitch out of many frames, and a take's offset and drift out of many notes."""

from __future__ import annotations

import math

from nets import Chance, Net
from trainer.judge.figure import figure, trim_frames
from trainer.judge.phonation import median
from trainer.judge.trend import trend


def a_row(chance: Chance) -> object:
    """Deviations a hop apart: still, wavering, sliding, slipping, in whole steps so that limits are met exactly."""
    hop, count = chance.of(120, 120, 120, 240, 720), chance.of(0, 1, 2, 3, 16, 20, 36, 37, 99, 100, 101, 140, 200)
    centre, step = chance.whole(-40, 40) * 100, chance.of(1, 100, 500)
    extent, period = (
        chance.of(0, 0, 1_400, 1_500, 1_600, 2_200, 5_000),
        chance.of(24, 25, 30, 36, 45, 50, 52) * 120 / hop,
    )
    slide, noise = chance.of(0, 0, 5, -20), chance.of(0, 100, 600)
    row = []
    for k in range(count):
        wave = extent * math.sin(2 * math.pi * k / period) if extent else 0
        row.append(centre + round((wave + slide * k + chance.whole(-noise, noise)) / step) * step)
    for _ in range(chance.of(0, 0, 2)):
        if row:
            row[chance.whole(0, len(row) - 1)] = centre + chance.of(1, -1) * chance.beside(20_000)
    return figure(row, hop, chance.of(0, 300, 1_000)), median(row) if row else None


def a_trim(chance: Chance) -> object:
    """How much of a note's end is left out."""
    return trim_frames(chance.beside(4 * 2_880, 100, 0, 20_000))


def a_take(chance: Chance) -> object:
    """Notes of a take that stays, sinks from somewhere on, or is sung all over the place."""
    count, step = chance.of(0, 1, 3, 4, 5, 6, 9, 12, 12, 20, 121, 125), chance.of(1, 100, 500)
    bend, slope = chance.whole(0, count), chance.of(0, 0, -150, -375, 300, 90)
    points, frame = [], chance.whole(0, 50_000)
    for k in range(count):
        y = slope * max(0, k - bend) + chance.whole(-8, 8) * step
        if chance.happens(8):
            y += chance.of(6_000, 6_001, -6_000, 20_000)
        points.append((frame, y))
        frame += chance.of(24_000, 12_000, 6_000)
    found = trend(points)
    frames = [-1, points[0][0], frame // 3, frame // 2, frame] if points else []
    return found, [found.at(at) for at in frames] if found else None


def a_plain_drift(chance: Chance) -> object:
    """Notes on a straight line that comes to fifteen cents or just not, and level ones with one just beside it."""
    count = chance.of(5, 6, 7, 8)
    total = chance.of(-1, 1) * chance.beside(1_500, 1_000, 1_800)
    noise = chance.of(0, 0, 1, 40)
    points = [(24_000 * k, total * k // (count - 1) + chance.whole(-noise, noise)) for k in range(count)]
    return trend(points)


NETS = (
    Net("figure", ("figure", "phonation"), a_row, 700),
    Net("trim", ("figure",), a_trim, 50),
    Net("trend", ("trend",), a_take, 500),
    Net("drift", ("trend",), a_plain_drift, 400),
)
