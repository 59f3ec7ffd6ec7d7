"""A MusicXML file as a score."""

from __future__ import annotations

from trainer.errors import ScoreError
from trainer.formats._assembled import score_of
from trainer.formats._xml_open import root_element
from trainer.formats._xml_walk import document_of
from trainer.score.model import Score


def read(content: bytes, path: str) -> Score:
    """The score in a plain or packed MusicXML file. Raises ScoreError only."""
    root = root_element(content, path)
    if root.tag not in ("score-partwise", "score-timewise"):
        raise ScoreError(
            f"the file is XML but not a MusicXML score (its root is {str(root.tag)[:40]!r})",
            path,
            "export it as MusicXML from the program that made it",
        )
    return score_of(document_of(root, path), path)
