"""What a session is to be, and what it came to."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.live.courses import Course
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.score.model import Score
from trainer.singable.weights import PAPER, Weights


@dataclass(frozen=True, slots=True)
class Wish:
    """What a session is to be.

    Parameters
    ----------
    score : Score
        The whole piece.
    line_index : int
    settings : Settings
    desk : Desk
    octaves : int
    look_through_seconds : int or None
        None waits for the word to begin.
    count_in_bars : int
    bars : (int, int) or None
        Only these.
    rounds : str
        "one" ends after one take, or where a course has nothing more to do by itself; "asked" waits for what is to be done next.
    course : Course or None
        Who decides from take to take.
    keep_sound : str
        "kept" or "".
    sung_before_seconds : int
        Sung without a rest before this session.
    notice : str
        What is to be told at the beginning, "" for nothing.
    weights : Weights
        By which likely slips are marked in the look-through.
    shown : str
        "beats", "end" or "none", as in ``Choices``; a course may choose otherwise.
    """

    score: Score
    line_index: int
    settings: Settings
    desk: Desk
    octaves: int = 0
    look_through_seconds: int | None = 30
    count_in_bars: int = 1
    bars: tuple[int, int] | None = None
    rounds: str = "one"
    keep_sound: str = ""
    notice: str = ""
    course: Course | None = None
    sung_before_seconds: int = 0
    weights: Weights = PAPER
    shown: str = "beats"


@dataclass(slots=True)
class Came:
    """What a session came to: its takes in order, their numbers in the database, and the singer's own octave against what is written.

    ``interrupted`` is "" for a session that came to its own end, "yes" after Ctrl-C, "unread" where nobody read its lines any more.
    """

    performances: list[Performance] = field(default_factory=list)
    numbers: list[int | None] = field(default_factory=list)
    octaves: int = 0
    interrupted: str = ""


class Leave(Exception):
    """The singer has had enough."""


def delay_words(delay: Delay, source: str) -> str:
    """What is known of the round trip, and what that means for what is "sung" or "keyed"."""
    if source == "keyed":
        if delay.known:
            return "keys are answered through the same output as the voices, so its delay falls out"
        return "that of the output is not known; timing is not judged"
    told = f"{delay.milliseconds:g} ms there and back, {delay.source}"
    if delay.source == "as each device says":
        return f"{told}; timing is not judged, since nobody measured them together"
    return told if delay.known else f"{told}; timing is not judged, heldline soundcheck measures it"
