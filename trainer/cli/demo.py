"""``heldline demo``: a pretend singer with planted faults, through the same tracker and judge as anyone; no device at all."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._parser import UsageError, add_command, nearest

EXAMPLES = """\
heldline demo
heldline demo --list
heldline demo --take wren --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "demo", says="see a whole take without any device", examples=EXAMPLES)
    parser.add_argument("--take", metavar="NAME", help="which pretend singer")
    parser.add_argument("--list", action="store_true", help="name the pretend singers")


def run(args: argparse.Namespace) -> int:
    """Judge a pretend take and show it; always 0, even when nobody sings."""
    raise UsageError("the demo is not there yet", "heldline demo", nearest("", []))
