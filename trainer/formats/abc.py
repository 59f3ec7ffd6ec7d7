"""ABC (.abc): the open standard's tunes in one voice or several, nothing out.

Reading: ``V:`` voices with their names, clefs and octaves; ``K:`` with modes and extra signs; ``M:``, ``L:``, ``Q:`` in the header, in
the tune and in brackets; signs that hold through the bar; ties, chords, broken rhythm, tuplets, voices laid over one another by ``&``;
repeats with endings, ``P:`` orders, da capo and dal segno; ``w:`` words. Grace notes are left out with a remark. Refused with the line:
free meter, a file of several tunes, percussion, bars that differ between the voices, anything that is no music.

A clef with -8 or +8 sounds an octave lower or higher, as the standard has it. A sign holds for its letter in every octave, the
standard's default, unless ``propagate-accidentals`` says other.

Source: The abc music standard 2.1, December 2011, abcnotation.com (section numbers stand beside the code; wording from memory).
"""

from __future__ import annotations

import re

from trainer.formats import FORMATS, Format
from trainer.score.model import Score

# the machinery is not needed to start, list or sing a shipped drill, so it is loaded at first use


def read(content: bytes, path: str) -> Score:
    """The score in the bytes. Raises ScoreError only."""
    from trainer.formats import _abc_read

    return _abc_read.read(content, path)


def _sniff(content: bytes) -> bool:
    head = content[:8192].replace(b"\x00", b"")
    return head.startswith(b"%abc") or bool(re.search(rb"(?m)^X: *\d", head) and re.search(rb"(?m)^K:", head))


FORMATS.add("abc", Format("ABC", (".abc",), _sniff, read), __name__)
