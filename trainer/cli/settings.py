"""``heldline settings``: every setting's value and where it came from; setting one."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command, nearest

EXAMPLES = """\
heldline settings
heldline settings set tolerance learner
heldline settings unset tolerance"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "settings", says="show each setting and where it came from, or change one", examples=EXAMPLES
    )
    parser.add_argument("action", nargs="?", choices=("set", "unset"), metavar="set|unset", help="change one")
    parser.add_argument("name", nargs="?", metavar="NAME", help="which")
    parser.add_argument("value", nargs="?", metavar="VALUE", help="its new value")


def run(args: argparse.Namespace) -> int:
    """Print the settings, or change one in the user's own file."""
    from trainer.cli._chosen import KINDS, choice
    from trainer.reports.as_json import as_text

    if args.action is not None:
        _change(args)
    found = [choice(name) for name in KINDS]
    if args.json:
        table = {one.name: {"value": one.value, "from": one.origin} for one in found}
        print(as_text({"schema": "heldline.settings/1", "settings": table}))
        return 0
    for one in found:
        kind = KINDS[one.name]
        word = {True: "yes", False: "no"}.get(one.value, one.value) if isinstance(one.value, bool) else one.value
        word = f"{word:g}" if isinstance(word, float) else word
        print(f"{one.name + ':':<11}{word!s:<8} from {one.origin}")
        print(fitted(f"{'':<11}{kind.says}; {kind.possible}", hang=13))
    return 0


def _change(args: argparse.Namespace) -> None:
    from trainer.cli._chosen import KINDS, value_of
    from trainer.cli._settings_file import put, take_out
    from trainer.places import places

    if args.name is None or (args.action == "set" and args.value is None):
        raise UsageError(
            f"settings {args.action} needs a name{' and a value' if args.action == 'set' else ''}",
            "heldline settings",
            "as in heldline settings set tolerance learner",
        )
    if args.name not in KINDS:
        raise UsageError(
            f"there is no setting {args.name}",
            "heldline settings",
            nearest(args.name, list(KINDS)) or f"there are {', '.join(KINDS)}",
        )
    path = places().settings
    if args.action == "set":
        put(path, args.name, value_of(args.name, args.value))
    else:
        take_out(path, args.name)
