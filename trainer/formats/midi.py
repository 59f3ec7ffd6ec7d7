"""Standard MIDI Files of kind 0 and 1: one voice a track, or a channel where a track holds several.

Reading: notes are spelled by the signature in force and set on a grid, and a remark tells the largest shift; keys of channel 10
(drums in General MIDI) are left out with a remark; a first meter that lasts one bar and is shorter than the second is a pickup,
which is how notation programs write one. Left out: velocity, pedals, pitch bend.

Writing: kind 1, 480 ticks a quarter (another number only where a tuplet needs it), a first track with title, tempo, meter and
signature, then a track a voice. Breath marks and facts have no place in the format.

Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association, RP-001).
"""

from __future__ import annotations

from trainer.formats import FORMATS, Format
from trainer.score.model import Score

# the machinery is not needed to start, list or sing a shipped drill, so it is loaded at first use


def read(content: bytes, path: str) -> Score:
    """The score in the bytes. Raises ScoreError only."""
    from trainer.formats import _midi_read

    return _midi_read.read(content, path)


def write(score: Score) -> bytes:
    """The bytes of *score*. Raises ScoreError where the format cannot hold it."""
    from trainer.formats import _midi_write

    return _midi_write.write(score)


def _sniff(content: bytes) -> bool:
    """Whether bytes begin as a Standard MIDI File, bare or in a RIFF wrapper."""
    return content.startswith(b"MThd") or (content.startswith(b"RIFF") and content[8:12] == b"RMID")


FORMATS.add("midi", Format("Standard MIDI File", (".mid", ".midi", ".smf"), _sniff, read, write), __name__)
