"""What is said of a score that is sung or keyed: nothing when it is correct, else that it is not, or that nobody checked."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.score.model import Score

MOST_NOTES = 3000
"""A longer score would take longer to check than a start may wait (our own)."""

NOT_CHECKED = "not checked"
FACT = "banner"
"""The fact under which a score carries its banner."""


def banner(score: Score) -> str:
    """Nothing for a correct score; not yet correct with the count and the rule set; or not checked, and why.

    What a score already carries holds: some bars of a whole are told as the whole is.
    """
    carried = dict(score.facts).get(FACT)
    return _found(score) if carried is None else carried


def _found(score: Score) -> str:
    from trainer.cli.check import rules_of
    from trainer.reports.wording import count_words
    from trainer.rules.checking import check_piece
    from trainer.rules.piece import FREE, Piece
    from trainer.score.moved import as_written

    score = as_written(score)  # a line taken in another key is the same exercise, whatever voice it was written for
    if len(score.lines) < 2:
        return f"{NOT_CHECKED}; a single voice"
    if sum(len(line.notes) for line in score.lines) > MOST_NOTES:
        return f"{NOT_CHECKED}; heldline check takes longer scores"
    said_free = score.fact("species") == FREE
    piece = Piece(score, FREE if said_free else None)
    if set(piece.species) == {FREE} and not said_free:
        return f"{NOT_CHECKED}; of no species, so heldline check --species free asks what concerns any voices"
    report = check_piece(piece, rules_of(score))
    faults = sum(one.strictness == "forbidden" for one in report.findings)
    return f"not yet correct, {count_words(faults, 'fault')}; under {report.rules}" if faults else ""


def with_banner(score: Score) -> Score:
    """The score carrying its banner, "" where it is correct, to the screen and into every part of it that is sung."""
    return replace(score, facts=(*score.facts, (FACT, banner(score))))
