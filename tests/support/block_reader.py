"""Reads block letters off a screen as somebody does who has never seen the program: stretches of rows, cut at empty columns, looked up."""

from __future__ import annotations

from functools import cache

ROWS = 5
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-"


@cache
def _shapes() -> dict[tuple[str, ...], str]:
    from trainer.ui.block_letters import dots

    return {_trimmed(dots(char)): char for char in ALPHABET}


def read_large(screen: str) -> list[str]:
    """Every line of letters that is at least five rows high."""
    rows = screen.split("\n")
    found, at = [], 0
    while at <= len(rows) - ROWS:
        block = rows[at : at + ROWS]
        words = _words(block) if all("█" in row for row in (block[0], block[-1])) else ""
        if words:
            found.append(words)
            at += ROWS
        else:
            at += 1
    return found


def _words(block: list[str]) -> str:
    """The letters of five rows, "" where they are none."""
    wide = max(map(len, block))
    drawn = ["".join("#" if char == "█" else "." for char in row.ljust(wide)) for row in block]
    if any(char not in "█ " for row in block for char in row):
        return ""
    dot = _dot_columns(drawn)
    drawn = [row[_first(drawn) :: dot] for row in drawn]
    told, letter, blank = "", [], 0
    for column in [*zip(*drawn, strict=False), ("." * ROWS, "")[:1]]:
        if "#" in column:
            if blank > 2 and told:
                told += " "
            letter.append(column)
            blank = 0
            continue
        if letter:
            shape = _trimmed(tuple("".join(one[row] for one in letter) for row in range(ROWS)))
            told += _shapes().get(shape, "?")
            letter = []
        blank += 1
    return told


def _first(drawn: list[str]) -> int:
    return min(row.find("#") for row in drawn if "#" in row)


def _dot_columns(drawn: list[str]) -> int:
    """How many columns a dot is wide: every run of ink is a whole number of them."""
    runs = {len(run) for row in drawn for run in row.split(".") if run}
    return 2 if all(run % 2 == 0 for run in runs) else 1


def _trimmed(rows: tuple[str, ...]) -> tuple[str, ...]:
    inked = [k for k in range(len(rows[0])) if any(row[k] == "#" for row in rows)]
    return tuple(row[inked[0] : inked[-1] + 1] for row in rows) if inked else rows
