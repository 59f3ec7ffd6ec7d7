"""MusicXML (.musicxml, .xml): partwise and timewise in, partwise 4.0 out.

Reading: ties joined, chords divided into lines, voices of a staff told apart, transposing parts as they sound, simple repeats and
their endings unfolded, a short first measure taken for a pickup. Grace and cue notes are left out with a remark. Refused with the
measure and the reason: percussion and spoken notes, quarter-tones, jumps such as da capo, repeat signs for whole measures, chords
whose division cannot be told. A clef's octave figure is notation only: pitches are written as they sound.

Source: MusicXML 4.0, W3C Community Group Report 2021.
"""

from __future__ import annotations

from trainer.formats import FORMATS, Format
from trainer.score.model import Score

# the machinery is not needed to start, list or sing a shipped drill, so it is loaded at first use


def read(content: bytes, path: str) -> Score:
    """The score in the bytes. Raises ScoreError only."""
    from trainer.formats import _xml_read

    return _xml_read.read(content, path)


def write(score: Score) -> bytes:
    """The bytes of *score*. Raises ScoreError where the format cannot hold it."""
    from trainer.formats import _xml_write

    return _xml_write.write(score)


def _sniff(content: bytes) -> bool:
    head = content[:4096].replace(b"\x00", b"")
    return b"<score-partwise" in head or b"<score-timewise" in head


FORMATS.add("musicxml", Format("MusicXML", (".musicxml", ".xml"), _sniff, read, write), __name__)
