"""The terminal: words in, wiring, words out, one exit status. A command is one file here with ``add`` and ``run``.

stdout carries the result and nothing else, stderr everything said on the way. Importing this package and building all parsers
touches no sound, music-file or number library, so that help comes at once.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

COMMANDS = (
    "sing",
    "key",
    "ladder",
    "drill",
    "tune",
    "review",
    "takes",
    "plan",
    "tally",
    "library",
    "check",
    "singable",
    "compose",
    "hear",
    "track",
    "sectional",
    "warmup",
    "soundcheck",
    "demo",
    "trace",
    "settings",
    "where",
)
"""Every command in the order in which help lists them; each is a module of this package."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (the process's own when None) and give its exit status; never lets an exception out."""
    from trainer.cli._door import guarded

    return guarded(list(sys.argv[1:] if argv is None else argv))


def run() -> None:
    """Leave the process with the exit status of its own command line."""
    sys.exit(main())
