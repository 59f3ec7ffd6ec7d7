"""MusicXML written by hand, small pieces of it, for tests of the reader."""

from __future__ import annotations

import pytest

from trainer.errors import ScoreError
from trainer.formats.musicxml import read
from trainer.score.model import Score

COMMON = (
    "<attributes><divisions>2</divisions><key><fifths>0</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
)


def note(name: str, duration: int, *, inside: str = "", voice: int = 1, staff: int = 1) -> str:
    if name == "r":
        return f"<note><rest/><duration>{duration}</duration><voice>{voice}</voice><staff>{staff}</staff></note>"
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(name[1], "")
    before = "<chord/>" if "chord" in inside else ""
    return (
        f"<note>{before}<pitch><step>{name[0]}</step>{alter}<octave>{name[-1]}</octave></pitch><duration>{duration}</duration>"
        f"{inside.replace('chord', '')}<voice>{voice}</voice><staff>{staff}</staff></note>"
    )


def document(*parts: list[str], names: tuple[str, ...] = ()) -> bytes:
    """Partwise, each part a list of measure contents; the first gets the common attributes."""
    listed = "".join(
        f'<score-part id="P{i}"><part-name>{names[i] if names else ""}</part-name></score-part>'
        for i in range(len(parts))
    )
    written = "".join(
        f'<part id="P{i}">'
        + "".join(
            f'<measure number="{n}">{COMMON if n == 1 else ""}{content}</measure>'
            for n, content in enumerate(part, start=1)
        )
        + "</part>"
        for i, part in enumerate(parts)
    )
    return f"<score-partwise version='4.0'><part-list>{listed}</part-list>{written}</score-partwise>".encode()


def bars(*names: str) -> list[str]:
    return [note(name, 8) for name in names]


def sung(score: Score, line: int = 0) -> str:
    return " ".join(f"{n.pitch}@{n.onset_quarters}+{n.length_quarters}" for n in score.lines[line].notes)


def refused(content: bytes) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        read(content, "hand.musicxml")
    assert "hand.musicxml" in caught.value.where
    assert caught.value.do
    return caught.value
