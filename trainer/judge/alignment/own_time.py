"""From one line's singing to its own time: where every note lies, what was left out or begun again, and the tempo that it makes.

Three looks: the singer's tempo is guessed from the length of what is heard and from the score, the cheapest way of them is taken, and
the way is found once more with each note's length expected from its neighbours' tempo.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from audio.heard import Anchor
from audio.units import OCTAVE_C100, RATE_HZ
from trainer.judge.alignment.costs import Sums
from trainer.judge.alignment.cues import cues
from trainer.judge.alignment.path import Item, Passed, cheapest
from trainer.judge.phonation import median, ms_to_frames, segments
from trainer.judge.pitchline import PitchLine
from trainer.practice.plan import LinePlan, Plan, Target

AROUND = 4
"""Notes on either side whose middle tempo is a note's own."""
GUESSES = (Fraction(4, 5), Fraction(1), Fraction(5, 4))
TEMPO_RANGE_QPM = (10, 400)
WRONG_NOTE = 1_500
"""Points a second above which a note's stretch is not that note."""
FITS_FROM = 500
"""Thousandths of what was sung that the piece must explain; our own, between right pieces with faults and wrong pieces."""
SLOT_MS = 40


@dataclass(frozen=True, slots=True)
class OwnTime:
    """One line's own time.

    Parameters
    ----------
    anchors : tuple of Anchor
        Music time over the recording.
    left_out : frozenset of int
        Indexes of targets that were passed over.
    again : tuple of (int, int, int)
        From and to frame of what was broken off and begun again, and the target with which the singer began again.
    begun : tuple of (int, int)
        Target and frame of every note sung, in order.
    explained : int
        How much of what was sung the line explains, in thousandths.
    """

    anchors: tuple[Anchor, ...]
    left_out: frozenset[int]
    again: tuple[tuple[int, int, int], ...]
    begun: tuple[tuple[int, int], ...]
    explained: int

    @property
    def fits(self) -> bool:
        """Whether it was this piece at all."""
        return self.explained >= FITS_FROM


def own_time(plan: Plan, line: LinePlan, heard: PitchLine) -> OwnTime | None:
    """The singer's time; None where nothing was sung or nothing is asked for."""
    steady = segments(heard, heard.centres[0], heard.centres[-1] + 1) if len(heard) else []
    targets = _asked(line)
    if not steady or not targets:
        return None
    shift = _shift(heard, targets) * OCTAVE_C100
    moments = cues(heard, steady)
    sums = Sums(heard, [t.steps[0].pitch_c100 + shift for t in targets if t.steps])
    starts = _bar_starts(targets)

    def way(tempos: Sequence[Fraction]) -> tuple[int, list[Passed]]:
        items = [
            Item(t.steps[0].pitch_c100 + shift if t.steps else None, round(t.length_quarters * 60 * RATE_HZ / tempo))
            for t, tempo in zip(targets, tempos, strict=True)
        ]
        return cheapest(items, starts, moments, sums)

    guesses = _guesses(plan, targets, steady[-1].end_frame - steady[0].start_frame)
    _, passed = min((way([guess] * len(targets)) for guess in guesses), key=lambda found: found[0])
    _, passed = way(_local(targets, passed, guesses[0]))
    explained = sum(p.to_frame - p.from_frame for p in passed if _is_right(targets[p.item], p, sums, shift))
    return _laid_out(targets, passed, min(explained * 1000 // sum(s.length_frames for s in steady), 1000))


def _is_right(target: Target, one: Passed, sums: Sums, shift: int) -> bool:
    """Whether the stretch is that note."""
    if not target.steps:
        return False
    before, after = sums.note(target.steps[0].pitch_c100 + shift, (one.from_frame, one.to_frame))
    return (after - before) * RATE_HZ <= WRONG_NOTE * (one.to_frame - one.from_frame)


def _asked(line: LinePlan) -> list[Target]:
    """The line's targets from its first note to its last."""
    notes = [k for k, t in enumerate(line.targets) if t.pitch is not None]
    return list(line.targets[notes[0] : notes[-1] + 1]) if notes else []


def _shift(heard: PitchLine, targets: Sequence[Target]) -> int:
    """Octaves between the middle of what was sung and the middle of what is written."""
    sung = median([p for p, voiced in zip(heard.pitches, heard.voiced, strict=True) if voiced])
    written = median(
        [t.steps[0].pitch_c100 for t in targets for _ in range(int(4 * t.length_quarters) or 1) if t.steps]
    )
    return (sung - written + OCTAVE_C100 // 2) // OCTAVE_C100


def _bar_starts(targets: Sequence[Target]) -> list[int]:
    """Targets with which a bar begins, or the first one inside it; always the first of all."""
    bars = [t.place.bar for t in targets]
    return [0] + [k for k in range(1, len(bars)) if bars[k] != bars[k - 1]]


def _guesses(plan: Plan, targets: Sequence[Target], sung_frames: int) -> list[Fraction]:
    quarters = sum((t.length_quarters for t in targets), Fraction(0))
    whole = quarters * 60 * RATE_HZ / max(sung_frames, 1)
    low, high = TEMPO_RANGE_QPM
    found = [plan.tempo.points[0][1], *(whole * share for share in GUESSES)]
    return [min(max(tempo, Fraction(low)), Fraction(high)) for tempo in found]


def _local(targets: Sequence[Target], passed: Sequence[Passed], otherwise: Fraction) -> list[Fraction]:
    """Each target's tempo: the middle of those of the notes sung around it."""
    known = {
        p.item: targets[p.item].length_quarters * 60 * RATE_HZ / (p.to_frame - p.from_frame)
        for p in passed
        if targets[p.item].pitch is not None
    }
    if not known:
        return [otherwise] * len(targets)
    tempos = []
    for k in range(len(targets)):
        near = sorted(known, key=lambda j: (abs(j - k), j))[: 2 * AROUND + 1]
        tempos.append(sorted(known[j] for j in near)[len(near) // 2])
    return tempos


def _laid_out(targets: Sequence[Target], passed: Sequence[Passed], explained: int) -> OwnTime:
    """The last time through counts; what was broken off before it stands outside music time."""
    counted: list[Passed] = []
    again = []
    for one in passed:
        if counted and one.item <= counted[-1].item:
            dropped = [p for p in counted if p.item >= one.item]
            counted = [p for p in counted if p.item < one.item]
            again.append((dropped[0].from_frame, one.from_frame, targets[one.item].index))
        counted.append(one)
    anchors = _anchors(targets, counted)
    sung = {p.item for p in counted}
    left_out = frozenset(t.index for k, t in enumerate(targets) if k not in sung and t.pitch is not None)
    begun = tuple((targets[p.item].index, p.from_frame) for p in counted if targets[p.item].pitch is not None)
    return OwnTime(anchors, left_out, tuple(again), begun, explained)


def _anchors(targets: Sequence[Target], counted: Sequence[Passed]) -> tuple[Anchor, ...]:
    """An anchor where each note begins; what was left out gets a moment at the end of what stands before it."""
    if not counted:
        return (Anchor(0, targets[0].onset_quarters, Fraction(60)),)
    points: list[tuple[int, Fraction]] = []
    ends: list[tuple[int, Fraction]] = []
    for one, after in itertools.zip_longest(counted, counted[1:]):
        target = targets[one.item]
        points.append((one.from_frame, target.onset_quarters))
        if after is None:
            ends.append((one.to_frame, target.end_quarters))
            continue
        between = targets[after.item].onset_quarters - target.end_quarters
        if between > 0:  # left out
            slot = min(ms_to_frames(SLOT_MS) * (after.item - one.item - 1), (after.from_frame - one.from_frame) // 4)
            points.append((min(one.to_frame, after.from_frame - slot), target.end_quarters))
        elif one.to_frame < after.from_frame:  # broken off and begun again, or a wait
            points.append((one.to_frame, target.end_quarters))
    points += ends
    anchors = []
    for (frame, quarters), (next_frame, next_quarters) in itertools.pairwise(points):
        tempo = (next_quarters - quarters) * 60 * RATE_HZ / (next_frame - frame) if next_frame > frame else Fraction(0)
        anchors.append(Anchor(frame, quarters, tempo))
    last = next((a.quarters_per_minute for a in reversed(anchors) if a.quarters_per_minute), Fraction(60))
    anchors.append(Anchor(points[-1][0], points[-1][1], last))
    return tuple(anchors)
