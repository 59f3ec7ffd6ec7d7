"""States of a session, made by hand for whatever shows them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from trainer.formats._drill_read import read
from trainer.live.desk import Desk
from trainer.live.state import State
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict

FERRY = """\
title: Ferry Bell at Low Water
meter: 4/4
mode: B dorian
tempo: 60

soprano | B4  | F# | G# | A  | G# | F# | E  | D  | E  | F# | F# |
alto    | B3  | C# | E  | F# | E  | D  | B  | A  | B  | C# | B  |
tenor   | F#3 | A  | B  | C# | B  | F# | G# | A  | G# | F# | D# |
bass    | B2  | A  | G# | F# | G# | B  | G# | F# | G# | A# | B  |
"""
SCORE = read(FERRY.encode(), "ferry.drill")
TENOR = 2
READING = State("look-through", SCORE, TENOR, Desk(TENOR), F(60), seconds_left=24)


def beat(number, sign, **more):
    """The beat of that number from 0."""
    bar = number // 4 + 1
    return BeatVerdict(bar, F(number % 4 + 1), str(bar), sign, **more)


PULLED = beat(16, Sign.PULLED, expected="B3", sung="F#4", pulled_to="soprano")
SUNG = (*(beat(k, Sign.HELD) for k in range(16)), PULLED)
SINGING = replace(READING, phase="singing", seconds_left=None, quarters=F(41, 2), beats=SUNG)
