"""Humdrum kern (.krn): spines in, nothing out.

Reading: one spine a part, the rightmost on top; spines that split, join, change places, begin and end; ties joined, chords divided
into lines, lyrics of a neighbouring text spine; meter, key, tempo, bar numbers; repeat signs, or the list of sections where the file
has one. Pitches stand as they sound, in transposing parts too. Grace notes are left out with a remark. Refused with the line: note
values that do not add up between spines, notes without a pitch, broken spines.

Sources: D. Huron, The Humdrum Toolkit: Reference Manual, 1994 (kern; spine paths; expansion lists); the notes on transposing parts at
doc.verovio.humdrum.org.
"""

from __future__ import annotations

from trainer.formats import FORMATS, Format
from trainer.score.model import Score

# the machinery is not needed to start, list or sing a shipped drill, so it is loaded at first use


def read(content: bytes, path: str) -> Score:
    """The score in the bytes. Raises ScoreError only."""
    from trainer.formats import _kern_read

    return _kern_read.read(content, path)


def _sniff(content: bytes) -> bool:
    return any(line.startswith(b"**") for line in content[:8192].replace(b"\x00", b"").splitlines())


FORMATS.add("kern", Format("Humdrum kern", (".krn", ".kern"), _sniff, read), __name__)
