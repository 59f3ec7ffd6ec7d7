"""What can be counted of a piece of counterpoint, the same for ours and Fux's, and how sure a mean of a few pieces is.

Shares are of a hundred, of all that is counted in all pieces together: a line of ten notes weighs less than one of forty. *Steps* are
shares of the moves of a voice (repeated notes are no moves). *Contrary* is of all moments at which both outer voices move. *Imperfect*
is the share of thirds and sixths among the consonances of every upper voice with the lowest on first beats, the first and the last bar
left out. *Range* is in letters, a second being 1. *Peaks together* counts pairs of voices whose highest notes lie in one bar.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations, pairwise
from math import sqrt

from trainer.rules.texture import Texture
from trainer.score.model import Score

IMPERFECT, PERFECT = frozenset({2, 5}), frozenset({0, 4})

Counts = dict[str, tuple[float, float]]
"""By measure: a sum, and of how many."""


def counted(score: Score) -> Counts:
    """Every measure that the piece has."""
    texture = Texture(score)
    found: Counts = {}
    for voice, line in enumerate(texture.lines):
        steps = [b.dia - a.dia in (1, -1) for a, b in pairwise(line) if a.end == b.on and b.dia != a.dia]
        found[f"steps, voice {voice + 1}"] = 100 * sum(steps), len(steps)
        heights = [tone.dia for tone in line]
        found[f"range, voice {voice + 1}"] = max(heights) - min(heights), 1
    moves = texture.moves[0, texture.parts - 1]
    ways = [(move.b.dia - move.a.dia) * (move.d.dia - move.c.dia) < 0 for move in moves]
    found["contrary, outer voices"] = 100 * sum(ways), len(ways)
    consonant = [kind for kind in _over_the_bass(texture) if kind in IMPERFECT | PERFECT]
    found["imperfect over the bass"] = 100 * sum(kind in IMPERFECT for kind in consonant), len(consonant)
    tops = []
    for line in texture.lines:
        top = max(tone.midi for tone in line)
        tops.append({texture.bar_index(tone.on) for tone in line if tone.midi == top})
    pairs = [bool(a & b) for a, b in combinations(tops, 2)]
    found["peaks together, of pairs"] = 100 * sum(pairs), len(pairs)
    return found


def _over_the_bass(texture: Texture) -> list[int]:
    kinds = []
    for bar in texture.bars[1:-1]:
        now = texture.slice_at(bar.on)
        if now is not None and now.bass is not None:
            kinds += [(tone.dia - now.bass.dia) % 7 for tone in now.sounding if tone is not now.bass]
    return kinds


def means(pieces: Sequence[Counts]) -> dict[str, float]:
    """Every measure over all pieces together."""
    sums: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for piece in pieces:
        for name, (total, of) in piece.items():
            sums[name][0] += total
            sums[name][1] += of
    return {name: total / of for name, (total, of) in sums.items() if of}


def errors(pieces: Sequence[Counts]) -> dict[str, float]:
    """The standard error of every mean: the jackknife, one piece left out at a time; infinite for a single piece."""
    if len(pieces) < 2:
        return dict.fromkeys(means(pieces), float("inf"))
    without = [means([*pieces[:index], *pieces[index + 1 :]]) for index in range(len(pieces))]
    found = {}
    for name in means(pieces):
        values = [one[name] for one in without if name in one]
        middle = sum(values) / len(values)
        found[name] = sqrt((len(values) - 1) / len(values) * sum((value - middle) ** 2 for value in values))
    return found
