"""What is said on stderr: wrapped where a person reads it, whole lines where a program does."""

from __future__ import annotations

import shutil
import sys
import textwrap

from trainer.score.shown import shown


def aside(text: str) -> str:
    """*text* as stderr is to show it, without the last line's end."""
    text = "\n".join(map(shown, text.splitlines()))
    if not sys.stderr.isatty():
        return text
    width = shutil.get_terminal_size().columns
    return "\n".join(
        textwrap.fill(
            line, width, subsequent_indent=" " * (len(line) - len(line.lstrip()) or 2), break_on_hyphens=False
        )
        for line in text.splitlines()
    )
