"""Words out of files, as a terminal may be shown them."""

from __future__ import annotations

import re

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")


def shown(text: str) -> str:
    """*text* in one line, a blank for each control character: no file may write to the terminal that shows its words."""
    return _CONTROL.sub(" ", text)
