"""Is it the singer at all, or our own loudspeaker? Told from the pitch line and the score.

Several voices at once give sound that is loud, not noise, and yet not one harmonic tone: *murky*. On our three voices without a singer
most frames are murky, on a singer in quiet hardly any are (measured: tests/bench/verdicts). Where much of a take is murky
a note counts as the singer's own only if no played voice has it.
"""

from __future__ import annotations

import itertools
from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from audio.heard import NO_ECHO_DB10
from trainer.judge.phonation import Segment, median
from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Neighbour, Suspect, matches
from trainer.judge.reading import Reading
from trainer.judge.span import OCTAVE
from trainer.practice.signs import Sign

MURKY_FROM = 120  # white and pink noise stay below
CLEAR_FROM = 800  # a singer in a quiet room stays above 900
SURELY_CLEAR_FROM = 700  # a breathy singer in a church does
MURKY_LEVEL_DB10 = -600
NO_NOISE_DB10 = -9_999
LEAST_OWN, LEAST_OWN_IN_NOISE = 3, 2
HELD_TENTHS, HELD_FOR_OURS = 4, 2
NEARLY_ALL_TENTHS, MANY = (
    8,
    6,
)  # of what a loudspeaker alone gives, two notes at most are as written (tests/campaign, loudspeaker)
LEAST_OWN_OF_MANY = 1
LEAST_TONELESS = 40  # a fifth of a second
SPREAD_DB10 = 40  # of a noise's level from frame to frame
OVER_NOISE_DB10 = 20
HARDLY_MURKY = 150  # of a take; a loudspeaker 8 to 12 dB under the singer, with nothing taken away, lies over it
LEAST_BESIDE = 4
OVER_OURS_DB10 = 60  # our voices alone lie 10 over it at most, simulated singers' breathy notes 50 to 180
MURKY_TAKE = 250  # a singer in a church comes near it, three voices in a room lie at twice as much
DOUBTFUL = 400  # of a take or of one note
NOT_SUNG = frozenset({Sign.SILENT, Sign.UNSURE})
MAYBE_OURS = frozenset({Sign.OFF, Sign.OCTAVE})  # a played voice an octave away answers to OCTAVE


def taken_away(line: PitchLine, from_frame: int, to_frame: int) -> bool:
    """Whether our own sound was in this stretch of a line and was taken out of it."""
    first, end = line.window(from_frame, to_frame)
    return any(echo > NO_ECHO_DB10 for echo in line.echoes[first:end])


class Murk:
    """Counts the murky frames of a line that may still grow, each frame looked at once.

    Parameters
    ----------
    line : PitchLine
    """

    def __init__(self, line: PitchLine) -> None:
        self._line = line
        self._toneless: Counter[int] = Counter()
        self._murky = array("L", [0])  # running totals before each frame
        self._over_noise = array("L", [0])

    def permille(self, from_frame: int, to_frame: int) -> int:
        """Share of the frames centred in [from, to) that are several tones at once, in thousandths."""
        return self._share(self._murky, from_frame, to_frame)

    def over_noise(self, from_frame: int, to_frame: int) -> int:
        """The same where a singer is known to be heard: what noise and a room leave over of one voice does not count.

        What is left over must be clearly more than the noise of the frames so far that hold no tone at all.
        """
        return self._share(self._over_noise, from_frame, to_frame)

    def beside(self, singer: Iterable[tuple[int, int]]) -> Callable[[int, int], int]:
        """``over_noise`` where a singer sang right in these stretches: what is far louder than all they left over is not ours alone.

        Our voices sound all through a take, and beside right notes they are at most what these leave unexplained. So breath, which
        leaves over much of a soft voice's low notes, is not taken for them.
        """
        windows = [self._line.window(*stretch) for stretch in singer]
        left = sorted(self._line.residuals[k] for a, b in windows for k in range(a, b) if self._line.voiced[k])
        if len(windows) < LEAST_BESIDE or not left:
            return self.over_noise
        least = left[len(left) * 3 // 4] + OVER_OURS_DB10
        self._look()
        softer = [0]
        for k, level in enumerate(self._line.levels):
            counted = self._over_noise[k + 1] > self._over_noise[k]
            softer.append(softer[-1] + (counted and level < least))
        return lambda from_frame, to_frame: self._share(softer, from_frame, to_frame)

    def _share(self, totals: Sequence[int], from_frame: int, to_frame: int) -> int:
        self._look()
        first, end = self._line.window(from_frame, to_frame)
        return (totals[end] - totals[first]) * 1000 // (end - first) if first < end else 0

    def _look(self) -> None:
        line = self._line
        noise, count = NO_NOISE_DB10, sum(self._toneless.values())
        for k in range(len(self._murky) - 1, len(line)):
            confidence = line.confidences[k]
            if confidence < MURKY_FROM:
                self._toneless[line.levels[k] // 10] += 1
                count += 1
            if count >= LEAST_TONELESS and (noise == NO_NOISE_DB10 or count % 50 == 0):
                noise = 10 * _lowest_tenth(self._toneless, count) + SPREAD_DB10
            # our own sound taken away, what is voiced is clearly more than is left of it
            surely_sung = line.voiced[k] and line.echoes[k] > NO_ECHO_DB10
            tone = confidence >= MURKY_FROM and line.levels[k] >= MURKY_LEVEL_DB10 and not surely_sung
            over = line.residuals[k] >= noise + OVER_NOISE_DB10
            self._murky.append(self._murky[-1] + (tone and confidence < CLEAR_FROM))
            self._over_noise.append(self._over_noise[-1] + (tone and over and confidence < SURELY_CLEAR_FROM))


def _lowest_tenth(counts: Counter[int], total: int) -> int:
    values = sorted(counts)
    seen = itertools.accumulate(counts[value] for value in values)
    return next(value for value, so_far in zip(values, seen, strict=True) if 10 * so_far >= total)


def only_our_voices(readings: Sequence[Reading], suspects: Sequence[Suspect | None], murky: int) -> bool:
    """Whether nothing in a murky take shows that anybody sang.

    Parameters
    ----------
    readings : sequence of Reading
        Every note's.
    suspects : sequence of Suspect or None
        The same notes.
    murky : int
        The take's murky share in thousandths.
    """
    if murky < MURKY_TAKE or _own(readings, suspects) >= _by_chance(readings, murky):
        return False
    return not _mostly_held(readings, suspects, least_own=LEAST_OWN_IN_NOISE)


def _own(readings: Sequence[Reading], suspects: Sequence[Suspect | None]) -> int:
    """Notes sung as written that no played voice has."""
    return sum(
        1
        for reading, suspect in zip(readings, suspects, strict=True)
        if suspect is not None and not reading.signs & (NOT_SUNG | MAYBE_OURS) and not matches(suspect)
    )


def _by_chance(readings: Sequence[Reading], murky: int) -> int:
    """How many such notes our own voices make by chance."""
    return 1 + len(readings) * murky // 2000


def surely_a_singer(readings: Sequence[Reading], suspects: Sequence[Suspect | None], murky: int) -> bool:
    """Whether somebody holds the line, or as many notes of it as twice chance would make."""
    own = _own(readings, suspects)
    return holds_the_line(readings, suspects) or own >= max(LEAST_OWN, 2 * _by_chance(readings, murky))


def holds_the_line(readings: Sequence[Reading], suspects: Sequence[Suspect | None]) -> bool:
    """Whether most of the line is held, three notes of it at least that no played voice has; or many and hardly any other, and one.

    What a canceller leaves of our own sound makes single notes, pulled and off and even held, and never so many of these. A bass is
    doubled in some octave nearly all the way.
    """
    heard = [reading for reading in readings if not reading.signs & NOT_SUNG]
    held = sum(not reading.signs & MAYBE_OURS for reading in heard)
    many = held >= MANY and 10 * held >= NEARLY_ALL_TENTHS * len(heard)
    return _mostly_held(readings, suspects, least_own=LEAST_OWN_OF_MANY if many else LEAST_OWN)


def _mostly_held(readings: Sequence[Reading], suspects: Sequence[Suspect | None], *, least_own: int) -> bool:
    """Whether what was heard is the line, far more than any played voice.

    A loudspeaker alone gives at most one note of three as written, and a played voice's note instead of most others; a singer in noise, of
    whom half is drowned, still gives hardly any of those (measured: tests/campaign, nobody and loudspeaker).
    """
    heard = [(r, s) for r, s in zip(readings, suspects, strict=True) if s is not None and not r.signs & NOT_SUNG]
    held = sum(not r.signs & MAYBE_OURS for r, _ in heard)
    ours = sum(bool(r.signs & MAYBE_OURS) and bool(matches(s)) for r, s in heard)
    own = _own(readings, suspects)
    return own >= least_own and 10 * held >= HELD_TENTHS * len(readings) and held >= HELD_FOR_OURS * (ours + 1)


def unsure_where_ours(readings: Iterable[tuple[Reading, Suspect | None]]) -> list[Reading]:
    """The readings of a murky take, each wrong note that a played voice sounds made unsure."""
    return [
        Reading(frozenset({Sign.UNSURE}), why=reading.why)
        if suspect is not None and reading.signs & MAYBE_OURS and matches(suspect)
        else reading
        for reading, suspect in readings
    ]


LEAK_DB10 = 140
LEAK_C100 = 4_000


def without_leaks(
    line: PitchLine, steady: Sequence[Segment], played: Sequence[Neighbour], own: Sequence[Neighbour]
) -> list[Segment]:
    """The segments without those that headphones let out: 14 dB or more under the singer, on a played voice's note, not on the own.

    Parameters
    ----------
    line : PitchLine
    steady : sequence of Segment
    played, own : sequences of Neighbour
        Every note of the other voices, and of the singer's own line, on the frame axis.
    """
    sung = [level for level, voiced in zip(line.levels, line.voiced, strict=True) if voiced]
    if not sung:
        return list(steady)
    faint = median(sung) - LEAK_DB10
    leaks = [
        median([line.levels[k] for k in s.kept]) <= faint and _sounds(s, played) and not _sounds(s, own) for s in steady
    ]
    around = [False, *leaks, False]
    return [
        replace(s, after_gap=s.after_gap or around[k], before_gap=s.before_gap or around[k + 2])
        for k, s in enumerate(steady)
        if not leaks[k]
    ]


def _sounds(segment: Segment, notes: Sequence[Neighbour]) -> bool:
    """Whether one of the notes, in any octave, sounds for most of the segment."""
    for note in notes:
        shared = min(note.to_frame, segment.end_frame) - max(note.from_frame, segment.start_frame)
        rest = (segment.level_c100 - note.pitch_c100) % OCTAVE
        if 2 * shared > segment.length_frames and min(rest, OCTAVE - rest) <= LEAK_C100:
            return True
    return False
