"""Keyed notes: which key was meant for which note, and the signs of note and time. A keyboard cannot be out of tune.

Keys and targets are matched in order by least cost (a dynamic programme): the right key late is nearer than a wrong key in time, and a
key that nothing asked for costs less than two wrong verdicts. Overlap of one key with the next is how legato is played and is no fault.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audio.heard import KeyNote
from audio.units import RATE_HZ
from trainer.judge.phonation import ms_to_frames
from trainer.practice.signs import Sign

MISSED = 150
EXTRA = 90
WRONG = 100
OTHER_OCTAVE = 60
SECOND = 100
RELEASE_MS = 150
FORGIVEN_MS = 600


@dataclass(frozen=True, slots=True)
class Wanted:
    """A note to be keyed, on the frame axis."""

    from_frame: int
    to_frame: int
    midi: int
    beat_frames: int
    on_time_frames: int
    last: bool


def matched(wanted: Sequence[Wanted], keys: Sequence[KeyNote], shift: int) -> list[int | None]:
    """For every wanted note the index of the key that was meant, None when it was left out.

    Parameters
    ----------
    wanted, keys : sequences in time order
    shift : int
        Octaves in which the whole take is played.
    """
    n, m = len(wanted), len(keys)
    best = [[0] * (m + 1) for _ in range(n + 1)]
    for j in range(1, m + 1):
        best[0][j] = j * EXTRA
    for i in range(1, n + 1):
        best[i][0] = i * MISSED
        for j in range(1, m + 1):
            best[i][j] = min(
                best[i - 1][j] + MISSED,
                best[i][j - 1] + EXTRA,
                best[i - 1][j - 1] + _cost(wanted[i - 1], keys[j - 1], shift),
            )
    answer: list[int | None] = [None] * n
    i, j = n, m
    while i and j:
        if best[i][j] == best[i - 1][j - 1] + _cost(wanted[i - 1], keys[j - 1], shift):
            answer[i - 1] = j - 1
            i, j = i - 1, j - 1
        elif best[i][j] == best[i - 1][j] + MISSED:
            i -= 1
        else:
            j -= 1
    return answer


def _cost(want: Wanted, key: KeyNote, shift: int) -> int:
    away = abs(key.on_frame - want.from_frame)
    reach = max(want.to_frame - want.from_frame, ms_to_frames(250))
    if away > reach:
        return MISSED + EXTRA + 1
    pitch = key.midi - 12 * shift - want.midi
    pitch_cost = 0 if pitch == 0 else OTHER_OCTAVE if pitch % 12 == 0 else WRONG
    return pitch_cost + away * SECOND // RATE_HZ


def key_signs(want: Wanted, key: KeyNote, shift: int, *, free_octave: bool, timed: bool) -> frozenset[Sign]:
    """Signs of one keyed note."""
    signs = set()
    pitch = key.midi - 12 * shift - want.midi
    if pitch % 12:
        signs.add(Sign.OFF)
    elif pitch and not free_octave:
        signs.add(Sign.OCTAVE)
    error = key.on_frame - want.from_frame
    if timed and error > want.on_time_frames:
        signs.add(Sign.LATE)
    if timed and error < -want.on_time_frames:
        signs.add(Sign.EARLY)
    short = want.to_frame - key.off_frame
    length = want.to_frame - want.from_frame
    forgiven = 0 if want.last else max(want.beat_frames // 2, ms_to_frames(FORGIVEN_MS))
    if short > max(length // 5, ms_to_frames(RELEASE_MS), forgiven):
        signs.add(Sign.LEFT_EARLY)
    return frozenset(signs)
