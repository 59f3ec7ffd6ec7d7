"""``heldline library``: the exercises that come with heldline."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._parser import add_command

EXAMPLES = """\
heldline library
heldline library show "Ferry Bell at Low Water"
heldline library --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "library", says="list and show the exercises that come along", examples=EXAMPLES)
    parser.add_argument("action", nargs="?", choices=("show",), metavar="show", help="show one exercise")
    parser.add_argument("title", nargs="?", metavar="TITLE", help="its title, its number in the list, or a score file")


def run(args: argparse.Namespace) -> int:
    """Print the list or one exercise."""
    from trainer.reports import exercises
    from trainer.reports.as_json import as_text

    if args.action == "show":
        from trainer.cli._parser import UsageError
        from trainer.library import resolve

        if args.title is None:
            raise UsageError("TITLE is missing", "heldline library show", "name one from heldline library")
        score = resolve(args.title)
        print(as_text(exercises.score_to_json(score)) if args.json else exercises.score_as_text(score))
        return 0
    from trainer.library import exercises as shipped

    listed = shipped()
    print(as_text(exercises.list_to_json(listed)) if args.json else exercises.list_as_text(listed))
    return 0
