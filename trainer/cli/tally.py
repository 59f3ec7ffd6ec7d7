"""``heldline tally``: how many exercises are written, correct, sung and keyed, by species, parts and mode."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli._parser import add_command
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.log.history import History
    from trainer.plan.tally import Written

EXAMPLES = """\
heldline tally
heldline tally counterpoint/
heldline tally counterpoint/ --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "tally",
        says="count what is written, correct, sung and keyed, by species and mode",
        examples=EXAMPLES,
    )
    parser.add_argument("scores", nargs="*", metavar="FOLDER|SCORE", help="your own exercises, sung or not yet sung")


def run(args: argparse.Namespace) -> int:
    """Print the counts; 4 when none of the files named could be read."""
    from trainer.cli._history import opened_history, shipped_bars, titles
    from trainer.cli._take import look
    from trainer.log.history import History
    from trainer.plan.tally import cells, exercise_tallies, sung_exercises
    from trainer.reports.tally import counted_late, tally_as_text, tally_to_json

    taken, sung, uncounted = [], [], 0
    with opened_history() as store:
        history = None if store is None else History(store)
        if history is not None:
            versions = history.versions()
            shipped = shipped_bars(version.music.title for version in versions)
            taken, sung = history.lines(), sung_exercises(versions, titles(), shipped)
            uncounted = history.uncounted()
        written, unread = _written(args.scores, history)
    named = {one.exercise for one in written}
    tallies = exercise_tallies([*written, *(one for one in sung if one.exercise not in named)], taken)
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(tally_to_json(cells(tallies), tallies)))
    else:
        besides = [told for told in (counted_late(uncounted),) if told]
        print(tally_as_text(cells(tallies), look(args), besides=besides))
    return 4 if unread and not written else 0


def _written(names: list[str], history: History | None) -> tuple[list[Written], int]:
    """Every exercise in the files named, each music once, and how many files could not be read."""
    from trainer.cli.check import pile, rules_of
    from trainer.formats import read_path
    from trainer.plan.tally import OWN, Written
    from trainer.rules.checking import check_piece
    from trainer.rules.piece import Piece
    from trainer.takes.outcomes import music

    found: dict[str, Written] = {}
    unread = 0
    for name in names:
        for path in pile([name]):
            try:
                score = read_path(Path(path))
                report = check_piece(Piece(score), rules_of(score)) if len(score.lines) > 1 else None
            except HeldlineError as err:
                print(f"heldline: {err}", file=sys.stderr)
                unread += 1
                continue
            correct = "" if report is None else "yes" if report.correct else "no"
            exercise = None if history is None else history.exercise_of(score)
            # two versions of one exercise are one: the later file in the pile stands for it
            key = score.digest() if exercise is None else str(exercise)
            found[key] = Written(music(score), correct, OWN, exercise)
    return list(found.values()), unread
