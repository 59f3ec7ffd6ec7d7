"""An exercise moved to where its singer's line lies within a compass, the other voices still within theirs."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.aim.wishes import octaves_away
from trainer.compose.setting import FINALS, MOST_SIGNS
from trainer.grading.grade import compass_of
from trainer.rules.checking import check
from trainer.rules.ruleset import RuleSet
from trainer.score.change import transpose
from trainer.score.model import Score
from trainer.score.modes import signature_fifths, split_mode
from trainer.score.pitch import Interval, Pitch

FARTHEST_SEMITONES = 6


def placed(score: Score, line_index: int, compass: tuple[Pitch, Pitch], rules: RuleSet) -> Score:
    """*score* moved by as little as brings the line into the compass in some octave; unmoved where nothing lawful does."""
    for interval in _ways(score):
        moved = transpose(score, interval) if interval.semitones or interval.diatonic else score
        if octaves_away(compass_of(moved, line_index), compass) is not None and check(moved, rules).correct:
            return moved
    return score


def _ways(score: Score) -> Iterator[Interval]:
    """Every interval to a usual final, the smallest first."""
    final, mode = split_mode(score.fact("mode"))
    home = Pitch.parse(f"{final}4")
    finals = [name for name in FINALS if abs(signature_fifths(name, mode)) <= MOST_SIGNS]
    ways = [home.interval_to(Pitch.parse(f"{name}{octave}")) for name in {*finals, final} for octave in (3, 4, 5)]
    near = [way for way in ways if abs(way.semitones) <= FARTHEST_SEMITONES]
    yield from sorted(near, key=lambda way: (abs(way.semitones), way.semitones, way.diatonic))
