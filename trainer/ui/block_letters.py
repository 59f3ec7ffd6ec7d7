"""Letters five rows high, drawn here for the view from across the room, and words set in them as large as they fit.

A letter is five rows of dots. A dot is two columns wide and a row high, about as wide as high on most terminals, and grows with the
screen; where a line of words is too long for that it is one column wide.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache

ROWS = 5
FULL, ASCII = "█", "#"
_DRAWN = """
A .###. #...# ##### #...# #...#
B ####. #...# ####. #...# ####.
C .#### #.... #.... #.... .####
D ####. #...# #...# #...# ####.
E ##### #.... ####. #.... #####
F ##### #.... ####. #.... #....
G .#### #.... #..## #...# .####
H #...# #...# ##### #...# #...#
I ### .#. .#. .#. ###
J ..### ...#. ...#. #..#. .##..
K #..#. #.#.. ##... #.#.. #..#.
L #.... #.... #.... #.... #####
M #...# ##.## #.#.# #...# #...#
N #...# ##..# #.#.# #..## #...#
O .###. #...# #...# #...# .###.
P ####. #...# ####. #.... #....
Q .###. #...# #.#.# #..#. .##.#
R ####. #...# ####. #..#. #...#
S .#### #.... .###. ....# ####.
T ##### ..#.. ..#.. ..#.. ..#..
U #...# #...# #...# #...# .###.
V #...# #...# #...# .#.#. ..#..
W #...# #...# #.#.# ##.## #...#
X #...# .#.#. ..#.. .#.#. #...#
Y #...# .#.#. ..#.. ..#.. ..#..
Z ##### ...#. ..#.. .#... #####
0 .###. #..## #.#.# ##..# .###.
1 .#. ##. .#. .#. ###
2 ####. ....# .###. #.... #####
3 ####. ....# .###. ....# ####.
4 #..#. #..#. ##### ...#. ...#.
5 ##### #.... ####. ....# ####.
6 .###. #.... ####. #...# .###.
7 ##### ...#. ..#.. .#... .#...
8 .###. #...# .###. #...# .###.
9 .###. #...# .#### ....# .###.
- ... ... ### ... ...
+ ... .#. ### .#. ...
. . . . . #
, .. .. .. .# #.
' # # . . .
/ ....# ...#. ..#.. .#... #....
: . # . # .
( .# #. #. #. .#
) #. .# .# .# #.
? ###. ...# .##. .... .#..
"""
_LETTERS = {row.split()[0]: tuple(row.split()[1:]) for row in _DRAWN.strip().splitlines()}
_BLANK = ("..",) * ROWS
_UNKNOWN = ("###", "#.#", "#.#", "#.#", "###")


def drawable(words: str) -> str:
    """The words in the letters that there are: capitals, accents left off."""
    plain = unicodedata.normalize("NFKD", words)
    return "".join(char for char in plain if not unicodedata.combining(char)).upper()


@cache
def dots(words: str) -> tuple[str, ...]:
    """Five rows of ``#`` and ``.`` for a line of words, a column of blanks between two letters."""
    drawn = [_BLANK if char == " " else _LETTERS.get(char, _UNKNOWN) for char in drawable(words)]
    return tuple(".".join(letter[row] for letter in drawn) for row in range(ROWS))


def set_large(lines: Sequence[str], columns: int, rows: int, *, dot: str = FULL) -> list[str]:
    """Lines of words in block letters, each centred and as large as all of them fit into so many columns and rows.

    A line that does not fit even in dots of one column stays as it is, in capitals.
    """
    tall = max(1, (rows - len(lines) + 1) // (ROWS * max(1, len(lines))))
    found: list[str] = []
    for line in lines:
        if found:
            found.append("")
        found += _set(line, columns, tall, dot) if rows >= ROWS else [line.upper().center(columns)[:columns].rstrip()]
    return found[:rows]


def _set(words: str, columns: int, tall: int, dot: str) -> list[str]:
    drawn = dots(words)
    sizes = [(2 * high, high) for high in range(tall, 0, -1)] + [(1, 1)]
    fitting = next(((wide, high) for wide, high in sizes if wide * len(drawn[0]) <= columns), None)
    if fitting is None:
        return [drawable(words)[:columns]]
    wide, high = fitting
    margin = " " * ((columns - wide * len(drawn[0])) // 2)
    rows = [margin + "".join((dot if one == "#" else " ") * wide for one in row).rstrip() for row in drawn]
    return [row for row in rows for _ in range(high)]
