"""``heldline`` alone: what is possible here and what to type next. Asks nothing and waits for nothing."""

from __future__ import annotations

import argparse


def run(_: argparse.Namespace) -> int:
    """Print it."""
    print("heldline")
    return 0
