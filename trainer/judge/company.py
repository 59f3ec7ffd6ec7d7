"""Is it the singer at all, or our own loudspeaker? Told from the pitch line and the score.

Several voices at once give sound that is loud, not noise, and yet not one harmonic tone: *murky*. On our three voices without a singer
most frames are murky, on a singer in quiet hardly any are (measured: tests/bench/verdicts). Where much of a take is murky
a note counts as the singer's own only if no played voice has it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Suspect, matches
from trainer.judge.reading import Reading
from trainer.practice.signs import Sign

MURKY_FROM = 120  # white and pink noise stay below
CLEAR_FROM = 800  # a singer in a quiet room stays above 900
MURKY_LEVEL_DB10 = -600
MURKY_TAKE = 250  # a singer in a church comes near it, three voices in a room lie at twice as much
DOUBTFUL = 400  # of a take or of one note
NOT_SUNG = frozenset({Sign.SILENT, Sign.UNSURE})
MAYBE_OURS = frozenset({Sign.OFF, Sign.OCTAVE})  # a played voice an octave away answers to OCTAVE


def murky_permille(line: PitchLine, from_frame: int, to_frame: int) -> int:
    """Share of the frames centred in [from, to) that are several tones at once, in thousandths."""
    first, end = line.window(from_frame, to_frame)
    if first == end:
        return 0
    murky = sum(
        1
        for k in range(first, end)
        if MURKY_FROM <= line.confidences[k] < CLEAR_FROM and line.levels[k] >= MURKY_LEVEL_DB10
    )
    return murky * 1000 // (end - first)


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
    if murky < MURKY_TAKE:
        return False
    own = sum(
        1
        for reading, suspect in zip(readings, suspects, strict=True)
        if suspect is not None and not reading.signs & (NOT_SUNG | MAYBE_OURS) and not matches(suspect)
    )
    return own < 1 + len(readings) * murky // 2000


def unsure_where_ours(readings: Iterable[tuple[Reading, Suspect | None]]) -> list[Reading]:
    """The readings of a murky take, each wrong note that a played voice sounds made unsure."""
    return [
        Reading(frozenset({Sign.UNSURE}), why=reading.why)
        if suspect is not None and reading.signs & MAYBE_OURS and matches(suspect)
        else reading
        for reading, suspect in readings
    ]
