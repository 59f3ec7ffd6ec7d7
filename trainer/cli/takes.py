"""``heldline takes``: the last take once more."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._parser import UsageError, add_command


def add(subparsers: Any) -> None:
    """Add the command."""
    add_command(subparsers, "takes", says="list, undo and delete takes", examples="heldline takes")


def run(args: argparse.Namespace) -> int:
    """Not there yet."""
    raise UsageError("takes is not there yet", "heldline takes", "")
