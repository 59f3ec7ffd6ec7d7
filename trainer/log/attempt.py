"""One attempt as it is stored: everything that judging it again needs, and nothing that judging does not."""

from __future__ import annotations

from dataclasses import dataclass

from audio.heard import Anchor, Heard
from trainer.practice.beside import UNKNOWN, Beside
from trainer.practice.settings import Settings
from trainer.score.model import Score


@dataclass(frozen=True, slots=True)
class Attempt:
    """What was sung or keyed, before anybody judges it.

    Parameters
    ----------
    key : str
        32 hex digits that no other attempt on any machine has.
    started_utc : str
        ISO 8601, such as 2025-03-04T19:05:00Z.
    version : str
        The program that heard it.
    source : str
        "sung" or "keyed".
    score : Score
    lines : tuple of int
        Which lines of the score; ``Heard.line`` counts in this order.
    settings : Settings
        Those it was first judged by.
    anchors : tuple of Anchor
        Where music time lay in a live take; empty for a recording, where the settings say it.
    heard : tuple of Heard
        In the order in which it was heard.
    whole : bool
        False when the program was stopped while it listened.
    beside : Beside
        What was around the singer.
    """

    key: str
    started_utc: str
    version: str
    source: str
    score: Score
    lines: tuple[int, ...]
    settings: Settings
    anchors: tuple[Anchor, ...] = ()
    heard: tuple[Heard, ...] = ()
    whole: bool = True
    beside: Beside = UNKNOWN
