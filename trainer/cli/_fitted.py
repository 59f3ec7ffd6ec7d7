"""What is said on stdout beside a report: wrapped where a person reads it, whole lines where a program does."""

from __future__ import annotations

import shutil
import sys
import textwrap

from trainer.reports.look import NARROWEST, WIDEST

SOFTLY = "Begin softly: set the level as loud as quiet talk before you put headphones on."


def fitted(text: str, *, hang: int = 2) -> str:
    """*text* as stdout is to show it; what does not fit on a line goes on *hang* columns in. A path or a command is not broken."""
    if not sys.stdout.isatty():
        return text
    width = min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)
    return "\n".join(
        textwrap.fill(
            line, width, subsequent_indent=" " * hang, break_on_hyphens=False, break_long_words=False, tabsize=1
        )
        for line in text.splitlines()
    )
