"""What can be counted of a piece of counterpoint, the same for ours, Fux's and chorales.

Shares are of a hundred. *Steps* are shares of the moves of a voice (repeated notes are no moves). *Contrary* is of all moments at which
both outer voices move. *Imperfect* is the share of thirds and sixths among the consonances of every upper voice with the lowest on
first beats, the first and the last bar left out. *Range* is in letters, a second being 1. *Peaks together* counts pairs of voices whose
highest notes lie in one bar.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations, pairwise
from statistics import mean

from trainer.rules.texture import Texture
from trainer.score.model import Score

IMPERFECT, PERFECT = frozenset({2, 5}), frozenset({0, 4})


def counted(score: Score) -> dict[str, float]:
    """Every measure that the piece has."""
    texture = Texture(score)
    found: dict[str, float] = {}
    for voice, line in enumerate(texture.lines):
        moves = [abs(b.dia - a.dia) for a, b in pairwise(line) if a.end == b.on and b.dia != a.dia]
        if moves:
            found[f"steps, voice {voice + 1}"] = 100 * sum(move == 1 for move in moves) / len(moves)
        heights = [tone.dia for tone in line]
        found[f"range, voice {voice + 1}"] = max(heights) - min(heights)
    moves = texture.moves[0, texture.parts - 1]
    ways = [(move.b.dia - move.a.dia) * (move.d.dia - move.c.dia) for move in moves]
    if ways:
        found["contrary, outer voices"] = 100 * sum(way < 0 for way in ways) / len(ways)
    kinds = []
    for bar in texture.bars[1:-1]:
        now = texture.slice_at(bar.on)
        if now is None or now.bass is None:
            continue
        kinds += [(tone.dia - now.bass.dia) % 7 for tone in now.sounding if tone is not now.bass]
    consonant = [kind for kind in kinds if kind in IMPERFECT | PERFECT]
    if consonant:
        found["imperfect over the bass"] = 100 * sum(kind in IMPERFECT for kind in consonant) / len(consonant)
    tops = []
    for line in texture.lines:
        top = max(tone.midi for tone in line)
        tops.append({texture.bar_index(tone.on) for tone in line if tone.midi == top})
    pairs = list(combinations(tops, 2))
    found["peaks together, of pairs"] = 100 * sum(bool(a & b) for a, b in pairs) / len(pairs)
    return found


def means(scores: Iterable[Score]) -> dict[str, float]:
    """Every measure's mean over the pieces that have it."""
    rows: dict[str, list[float]] = defaultdict(list)
    for score in scores:
        for name, value in counted(score).items():
            rows[name].append(value)
    return {name: mean(values) for name, values in rows.items()}
