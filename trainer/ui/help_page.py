"""Keys in words, page by page where a screen is too short for all of them."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

KEY_COLUMNS = 8


def help_page(keys: Sequence[tuple[str, str]], width: int, room: int, page: int) -> tuple[list[str], int]:
    """The lines of one page and how many pages there are; a key stays with its words, and after the last page comes the first."""
    pages: list[list[str]] = [[]]
    for key, says in keys:
        told = textwrap.wrap(f"{key:<{KEY_COLUMNS}}{says}", width, subsequent_indent=" " * KEY_COLUMNS)[: max(1, room)]
        if pages[-1] and len(pages[-1]) + len(told) > room:
            pages.append([])
        pages[-1] += told
    return pages[page % len(pages)], len(pages)
