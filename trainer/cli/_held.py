"""The latest whole takes of graded lines, with their levels, as the log has them."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.plan.level import Held
    from trainer.score.model import Score


def held_lately() -> list[Held]:
    """Whole takes in company, oldest first, of lines that can be graded; none where nothing is kept or the log cannot be read."""
    from trainer.cli._history import opened_history
    from trainer.errors import HeldlineError
    from trainer.log.history import History
    from trainer.plan.level import LATELY, Held
    from trainer.plan.returns import counts

    found: list[Held] = []
    with contextlib.suppress(HeldlineError), opened_history() as store:
        if store is None:
            return []
        for one in reversed([one for one in History(store).lines() if counts(one) and one.mark != "unfinished"]):
            level = _level_of(store.cover(one.number).score, one.line)
            if level is not None:
                found.append(Held(level, one.mark))
            if len(found) == LATELY:
                break
    return found[::-1]


def _level_of(score: Score, line: int) -> int | None:
    """The level of one line of an exercise; None where the music is none."""
    from trainer.grading.grade import grade
    from trainer.score.model import find_voice

    if not score.fact("species") or not 1 < len(score.lines) < 5:
        return None
    told = score.fact("level")
    with contextlib.suppress(KeyError):
        if told.isdecimal() and find_voice(score, score.fact("sing")) == line:
            return int(told)
    return grade(score, line).level
