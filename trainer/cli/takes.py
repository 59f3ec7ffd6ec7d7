"""``heldline takes``: what is kept on this machine: listed, taken back, judged anew, deleted."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import Any

from trainer.cli import _options
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline takes
heldline takes undo
heldline takes again --octave free
heldline takes again 3 7 --tolerance learner --json
heldline takes purge --dry-run"""

LISTED = 40
"""So many of the latest takes are listed where not all are asked for."""

ACTIONS = ("list", "undo", "back", "again", "purge")


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "takes", says="list kept takes, undo the last, judge them anew, delete them", examples=EXAMPLES
    )
    parser.add_argument(
        "action",
        nargs="?",
        choices=ACTIONS,
        default="list",
        metavar="list|undo|back|again|purge",
        help="list them; remove the last (for seven days it can be brought back); bring it back; judge them anew; "
        "delete them for good",
    )
    parser.add_argument("numbers", nargs="*", type=_options.take_number, metavar="NUMBER", help="which takes (all)")
    parser.add_argument("--all", action="store_true", help=f"list all, not only the latest {LISTED}")
    _options.add_judging(parser)
    group = parser.add_argument_group("deleting for good")
    group.add_argument("--older-than", type=_options.take_number, metavar="DAYS", help="only what is older")
    group.add_argument("--yes", action="store_true", help="do not ask")
    group.add_argument("--dry-run", action="store_true", help="say what would go, and delete nothing")


def run(args: argparse.Namespace) -> int:
    """One of the actions."""
    if args.numbers and args.action not in ("again", "undo"):
        raise UsageError(f"takes {args.action} takes no number", "heldline takes", "leave the number out")
    from trainer.cli._take import tell
    from trainer.places import places
    from trainer.takes.keeping import open_store

    act = {"list": _list, "undo": _undo, "back": _back, "again": _again, "purge": _purge}[args.action]
    if args.action == "list" and not places().takes.exists() and not places().running.exists():
        return _none_yet(args)
    with open_store(places(), tell) as store:
        return act(args, store)


def _list(args: argparse.Namespace, store: Any) -> int:
    from trainer.reports import stored

    entries = store.entries(None if args.json or args.all else LISTED)
    if args.json:
        return _print_json(stored.list_to_json(entries))
    if store.last() is None:
        return _none_yet(args)
    print(fitted(stored.list_as_text(entries), hang=24))
    earlier = 0 if args.all or not entries else entries[0].number - 1
    if len(entries) == LISTED and earlier:
        print("(earlier ones: heldline takes --all)")
    return 0


def _none_yet(args: argparse.Namespace) -> int:
    if args.json:
        from trainer.reports import stored

        return _print_json(stored.list_to_json([]))
    print(fitted("No take is kept yet. Make one: heldline sing SCORE --voice VOICE --input FILE"))
    return 0


def _undo(args: argparse.Namespace, store: Any) -> int:
    from trainer.takes.keeping import utc

    numbers = args.numbers or [store.last()]
    if numbers == [None]:
        raise UsageError("no take is kept that could be removed", "heldline takes undo", "heldline takes lists them")
    for number in numbers:
        store.get(number)  # one that is not there is said before anything is removed
    for number in numbers:
        store.remove(number, utc())
    if args.json:
        return _print_json({"schema": "heldline.takes.undo/1", "removed": numbers})
    told = ", ".join(str(number) for number in numbers)
    print(f"removed take {told}; for seven days heldline takes back brings it back")
    return 0


def _back(args: argparse.Namespace, store: Any) -> int:
    number = store.bring_back()
    if number is None:
        raise UsageError("no removed take is left to bring back", "heldline takes back", "heldline takes lists them")
    if args.json:
        return _print_json({"schema": "heldline.takes.back/1", "number": number})
    print(f"take {number} is back")
    return 0


def _again(args: argparse.Namespace, store: Any) -> int:
    from trainer.reports import stored
    from trainer.takes.keeping import count, judge_again, put_verdict, summaries

    numbers = args.numbers or [entry.number for entry in store.entries() if entry.removed_utc is None]
    rows = []
    for number in numbers:
        attempt = store.get(number)
        settings = _options.changed_settings(args, attempt.settings)
        before, performance = judge_again(attempt, attempt.settings), judge_again(attempt, settings)
        put_verdict(store, number, settings, performance)
        count(store, number, replace(attempt, settings=settings), performance)
        rows.append(stored.Again(number, attempt.score.title, settings, summaries(before), summaries(performance)))
    if args.json:
        return _print_json(stored.again_to_json(rows))
    print(stored.again_as_text(rows) if rows else "no take is kept yet")
    return 0


def _purge(args: argparse.Namespace, store: Any) -> int:
    from trainer.places import places
    from trainer.reports.wording import count_words
    from trainer.takes.keeping import forget_sound, forget_unread, utc

    before = None if args.older_than is None else utc(days_ago=args.older_than)
    going = [entry for entry in store.entries() if before is None or entry.started_utc < before]
    if args.dry_run:
        if args.json:
            return _print_json({"schema": "heldline.takes.purge/1", "deleted": 0, "would_delete": len(going)})
        print(
            fitted(
                f"{count_words(len(going), 'take')} would be deleted for good, with their recordings; nothing was deleted"
            )
        )
        return 0
    if not args.yes:
        _ask(len(going))
    keys = store.purge(before)
    for key in keys:
        forget_sound(places(), key)
    if before is None:
        forget_unread(places())
    if args.json:
        return _print_json({"schema": "heldline.takes.purge/1", "deleted": len(keys), "would_delete": len(keys)})
    print(fitted(f"{count_words(len(keys), 'take')} deleted for good, with their recordings"))
    return 0


def _ask(count: int) -> None:
    """Go on only after a yes. Raises UsageError where nobody can be asked, or who is asked says no."""
    from trainer.reports.wording import count_words

    takes = count_words(count, "take")
    if not sys.stdin.isatty():
        raise UsageError(f"{takes} would be deleted for good", "heldline takes purge", "say --yes, or --dry-run")
    sys.stderr.write(f"Delete {takes} for good, with their recordings? yes or no: ")
    sys.stderr.flush()
    if sys.stdin.readline().strip().lower() not in ("y", "yes"):
        raise UsageError("nothing was deleted", "heldline takes purge", "answer yes to delete them")


def _print_json(table: dict[str, Any]) -> int:
    from trainer.reports.as_json import as_text

    print(as_text(table))
    return 0
