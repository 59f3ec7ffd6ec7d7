"""``heldline review``: the last take once more."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._parser import UsageError, add_command


def add(subparsers: Any) -> None:
    """Add the command."""
    add_command(subparsers, "review", says="look at a take once more", examples="heldline review")


def run(args: argparse.Namespace) -> int:
    """Not there yet."""
    raise UsageError("review is not there yet", "heldline review", "")
