"""Sung words of ABC set under the notes of the line above them, and the order of parts.

Source: The abc music standard 2.1, sections 5.1 (alignment of w:) and 3.1.9 (P:).
"""

from __future__ import annotations

import re

from trainer.formats import MOST_BARS
from trainer.formats._abc_voice import Voice
from trainer.formats._written import Unreadable

_WORDS = re.compile(r"\||\*|_|-|(?:\\-|[^\s|*_-])+")


def set_words(voice: Voice, text: str) -> None:
    """Put one ``w:`` line under the notes of the last line of music."""
    voice.verse += 1
    notes = voice.line_notes
    at, last, open_word = 0, -1, False
    for sign in _WORDS.findall(text):
        if sign == "|":
            bar = notes[last][1] if last >= 0 else (notes[0][1] - 1 if notes else 0)
            while at < len(notes) and notes[at][1] <= bar:
                at += 1
            last, open_word = max(last, at - 1), False
        elif sign == "-" and open_word:
            note = notes[last][0]
            number, said = note.lyrics[-1]
            note.lyrics = (*note.lyrics[:-1], (number, f"{said}-"))
            open_word = False
        elif at >= len(notes):
            return  # more words than notes: printed behind the line, sung by nobody
        elif sign in ("-", "_", "*"):
            last, at, open_word = at, at + 1, False
        else:
            said = sign.replace("\\-", "-").replace("~", " ").strip()
            notes[at][0].lyrics += ((str(voice.verse), said),) if said else ()
            last, at, open_word = at, at + 1, bool(said)


def part_order(text: str) -> list[str]:
    """The labels of a header's ``P:`` in the order played: ``A(AB)2C`` is A A B A B C. Raises Unreadable."""
    signs = re.findall(r"[A-Za-z()]|\d{1,2}", text)
    if "".join(signs) != re.sub(r"[\s.,]", "", text):
        raise Unreadable(f"P:{text[:30]} is not an order of parts")
    stack: list[list[str]] = [[]]
    group: list[str] = []
    for sign in signs:
        if sign == "(":
            stack.append([])
            group = []
        elif sign == ")":
            if len(stack) == 1:
                raise Unreadable(f"P:{text[:30]} closes a bracket that is not open")
            group = stack.pop()
            stack[-1] += group
        elif sign.isdecimal():
            if not group:
                raise Unreadable(f"P:{text[:30]} repeats nothing")
            stack[-1] += group * (int(sign) - 1)
            group = []
        else:
            group = [sign]
            stack[-1] += group
        if sum(map(len, stack)) > MOST_BARS:
            raise Unreadable(f"P:{text[:30]} is too long")
    if len(stack) > 1:
        raise Unreadable(f"P:{text[:30]} leaves a bracket open")
    return stack[0]
