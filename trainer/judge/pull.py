"""Whose note was it: telling a wrong note that follows another voice from one that is merely wrong.

A note is *pulled* when it is off, the note sung is another voice's (octave folded), there is a sign of following, and it is not the
singer's own note before or after. Signs of following: two such notes running, moving on to it in the middle of the own note, or that
voice sounding it first. Of two candidates the nearer in pitch counts, then the higher voice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.judge.phonation import ms_to_frames
from trainer.judge.span import OCTAVE

MATCH_C100 = 5_000
FIRST_MS = 100


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another voice's note on the frame axis. ``rank`` counts from the top voice; ``pitch_c100`` includes no shift."""

    rank: int
    voice: str
    from_frame: int
    to_frame: int
    pitch_c100: int


@dataclass(frozen=True, slots=True)
class Suspect:
    """One note as the search for pulls sees it.

    Parameters
    ----------
    off : bool
    pitch_c100 : int
        Sung, the take's shift and offset taken off.
    began_frame : int
        Where that pitch was taken up, be it before the stretch that is looked at.
    from_frame, to_frame : int
        Where the body sounded.
    slid : bool
        Moved on to it from another pitch in the same breath, inside the own note.
    own : tuple of int
        References of the own notes before and after.
    neighbours : tuple of Neighbour
    """

    off: bool
    pitch_c100: int
    began_frame: int
    from_frame: int
    to_frame: int
    slid: bool
    own: tuple[int, ...]
    neighbours: tuple[Neighbour, ...]


def matches(suspect: Suspect) -> list[Neighbour]:
    """Voices that sound the note sung for most of its time, nearest first, then the highest."""
    length = suspect.to_frame - suspect.from_frame
    found: dict[int, Neighbour] = {}
    for neighbour in suspect.neighbours:
        shared = min(neighbour.to_frame, suspect.to_frame) - max(neighbour.from_frame, suspect.from_frame)
        rest = (suspect.pitch_c100 - neighbour.pitch_c100) % OCTAVE
        if 2 * shared > length and min(rest, OCTAVE - rest) <= MATCH_C100:
            found[neighbour.rank] = neighbour
    return sorted(found.values(), key=lambda n: (_away(suspect, n), n.rank))


def pulled_to(suspects: Sequence[Suspect | None]) -> list[str | None]:
    """For every note the voice it was pulled to, None where it was not pulled.

    Parameters
    ----------
    suspects : sequence of Suspect or None
        The line's notes in order, rests left out, since a rest does not part two notes; None for notes not heard.
    """
    matched = [matches(s) if s is not None and s.off else [] for s in suspects]
    answers: list[str | None] = []
    for k, suspect in enumerate(suspects):
        answer = None
        if suspect is not None and suspect.off and not _is_own(suspect):
            beside = {n.rank for j in (k - 1, k + 1) if 0 <= j < len(matched) for n in matched[j]}
            for neighbour in matched[k]:
                first = neighbour.from_frame <= suspect.began_frame - ms_to_frames(FIRST_MS)
                if neighbour.rank in beside or suspect.slid or first:
                    answer = neighbour.voice
                    break
        answers.append(answer)
    return answers


def _is_own(suspect: Suspect) -> bool:
    return any(abs(suspect.pitch_c100 - own) <= MATCH_C100 for own in suspect.own)


def _away(suspect: Suspect, neighbour: Neighbour) -> int:
    # to the nearest whole semitone, so that a few cents never decide between two voices an octave apart
    return (abs(suspect.pitch_c100 - neighbour.pitch_c100) + MATCH_C100) // (2 * MATCH_C100)
