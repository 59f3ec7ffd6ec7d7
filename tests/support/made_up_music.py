"""Four-part music made from a seed, for benches of verdicts: note after note of known length, in every voice's own compass.

It is correct enough to be sung and played beside (chords of three notes of one key, stepwise where it can be), but no exercise: rules of
counterpoint are not looked at. Compasses: common practice of choral writing, no source. Everything else is our own.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from written_music import Piece

COMPASS = {"soprano": (60, 79), "alto": (54, 72), "tenor": (48, 66), "bass": (41, 60)}
SCALE = (0, 2, 4, 5, 7, 9, 11)
SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
BARS = 8
LONG = ((4,), (2, 2), (3, 1))
MIXED = ((2, 2), (2, 1, 1), (1, 1, 2), (1, 2, 1), (1, 1, 1, 1), (3, 1))
SHORT = (
    (1, 1, 1, 1),
    (1, Fraction(1, 2), Fraction(1, 2), 2),
    (Fraction(1, 2),) * 4 + (2,),
    (2, 1, Fraction(1, 2), Fraction(1, 2)),
)
STYLES = (LONG, MIXED, MIXED, SHORT)
REST_SHARE, TIE_SHARE, REPEAT_SHARE = 0.04, 0.15, 0.12


Style = tuple[tuple[Fraction | int, ...], ...]


def made_up(rng: np.random.Generator, *, bars: int = BARS, styles: tuple[Style, ...] = STYLES) -> Piece:
    """A piece in bars of four quarters for soprano, alto, tenor and bass, each line in one of the styles."""
    tonic = int(rng.integers(12))
    names = FLAT_NAMES if tonic in (1, 3, 5, 6, 8, 10) else SHARP_NAMES
    roots = [0, *rng.choice([0, 1, 3, 4, 5, 2], 2 * bars - 3), 4, 0]
    chords = [{(tonic + SCALE[(int(root) + step) % 7]) % 12 for step in (0, 2, 4)} for root in roots]
    key = {(tonic + step) % 12 for step in SCALE}
    lines = []
    for voice, (low, high) in COMPASS.items():
        style = styles[int(rng.integers(len(styles)))]
        lengths = _lengths(rng, style, bars)
        lines.append((voice, _line(rng, lengths, chords, key, low, high, names)))
    return Piece("Made up for a bench", tuple(lines))


def _lengths(rng: np.random.Generator, style: Style, bars: int) -> list[Fraction]:
    """Lengths in quarters that fill the bars; some notes are tied over into the next bar."""
    lengths: list[Fraction] = []
    for bar in range(bars):
        pattern = [Fraction(x) for x in style[int(rng.integers(len(style)))]]
        if bar == bars - 1:
            pattern = [Fraction(4)]
        elif lengths and rng.random() < TIE_SHARE and lengths[-1] + pattern[0] <= 4:
            lengths[-1] += pattern.pop(0)
        lengths += pattern
    return lengths


def _line(
    rng: np.random.Generator,
    lengths: list[Fraction],
    chords: list[set[int]],
    key: set[int],
    low: int,
    high: int,
    names: tuple[str, ...],
) -> str:
    at, last, words = Fraction(0), int(rng.integers(low + 4, high - 3)), []
    rested = True
    for count, length in enumerate(lengths):
        if not rested and 0 < count < len(lengths) - 1 and length <= 2 and rng.random() < REST_SHARE:
            words.append(f"r:{length}")
            at, rested = at + length, True
            continue
        strong = at.denominator == 1 and at % 2 == 0
        classes = chords[min(int(at // 2), len(chords) - 1)] if strong or length >= 2 else key
        near = [m for m in range(max(low, last - 7), min(high, last + 7) + 1) if m % 12 in classes and m != last]
        if not words or not (last % 12 in classes and rng.random() < REPEAT_SHARE):
            weight = np.array([1.0 / (1 + abs(m - last)) ** 1.3 for m in near])
            last = int(rng.choice(near, p=weight / weight.sum()))
        words.append(f"{names[last % 12]}{last // 12 - 1}:{length}")
        at, rested = at + length, False
    return " ".join(words)
