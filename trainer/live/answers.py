"""What a singer typed for a question: other bars or another tempo, the numbers behind a beat, or a sentence why not."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import HeldlineError
from trainer.live.choices import Choices
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.reports.why import parse_place, why
from trainer.score.model import Score

CANCELLED = "\x1b"


@dataclass(frozen=True, slots=True)
class Answer:
    """What follows: other choices, the place whose numbers are shown, or what is said instead; None for what stays as it is."""

    choices: Choices | None = None
    why: tuple[int, Fraction] | None = None
    notice: str = ""


def answer(
    question: str, words: str, choices: Choices, *, whole: Score, settings: Settings, performance: Performance | None
) -> Answer:
    """To one of ``choices.QUESTIONS``; nothing follows from a cancelled one."""
    if words == CANCELLED:
        return Answer()
    if question == "why":
        return _why(words, performance)
    try:
        return Answer(choices=choices.answered(question, words, whole, settings))
    except HeldlineError as err:
        return Answer(notice=err.what)
    except KeyError as err:
        return Answer(notice=f"there are {err.args[0]}")
    except (ValueError, ZeroDivisionError):
        return Answer(notice=f"{words!r} is not possible here")


def _why(words: str, performance: Performance | None) -> Answer:
    place = parse_place(words)
    if place is None or performance is None or why(performance.takes[0], *place) is None:
        return Answer(notice=f"there is no bar and beat {words}")
    return Answer(why=place)
