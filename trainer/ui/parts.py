"""Several singers on the screen: a row of signs a voice, and afterwards how they went together."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction

from trainer.live.state import State
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict
from trainer.reports.beat_signs import BEAT_SIGNS, letter
from trainer.reports.called import take_called
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.reports.together import beat_rows, together_text
from trainer.score.naming import Names, lettered

KEYS = {
    "tuning note": (("space", "begin"), ("c", "click"), ("?", "keys"), ("q", "quit")),
    "look-through": (("space", "begin"), ("c", "click"), ("?", "keys"), ("q", "quit")),
    "count-in": (("space", "start over"), ("c", "click"), ("?", "keys"), ("q", "quit")),
    "singing": (("space", "stop"), ("p", "pause"), ("r", "again"), ("c", "click"), ("q", "quit")),
    "pause": (("space", "go on"), ("r", "again"), ("q", "quit")),
    "done": (("space", "again"), ("c", "click"), ("?", "keys"), ("q", "quit")),
}
ALL_KEYS = ("space", "p", "r", "c", "v", "q")
"""What a session of several singers knows."""

FIRST_CHORD = "The first chord comes before the count, from the lowest voice up."


def voices(state: State) -> str:
    """Who sings."""
    names = state.score.voice_names()
    return ", ".join(names[line] for line in state.lines)


def parts_body(state: State, look: Look, room: int, names: Names) -> list[str]:
    """What stands between head and keys."""
    if state.phase == "done" and state.performance is not None:
        whole = [together_text(state.performance, look)]
        whole += [take_text(take_called(take, names), look) for take in state.performance.takes]
        return "\n\n".join(whole).splitlines()[1:]
    if state.phase in ("ready", "look-through"):
        delay = textwrap.wrap(f"Delay: {state.delay}", look.width)
        return [*textwrap.wrap(FIRST_CHORD, look.width), "", *first_notes(state, names), "", *delay]
    bars = [bar.number for bar in state.score.bars().bars]
    now = state.score.bars().place(max(Fraction(0), state.quarters or Fraction(0))).bar
    own = state.score.voice_names()
    rows = {own[line]: beats for line, beats in zip(state.lines, state.beats_of, strict=True)}
    told = beat_rows(rows, look, bars=bars, around=now, room=room - 3)
    return [*told, "", *_legend(state.beats, look)]


def first_notes(state: State, names: Names) -> list[str]:
    """On what each begins."""
    own = state.score.voice_names()
    told = []
    for line in state.lines:
        notes = state.score.lines[line].notes
        told.append(f"{own[line]}: {f'begins on {lettered(notes[0].pitch, names)}' if notes else 'has no notes here'}")
    return told


def _legend(beats: Sequence[BeatVerdict], look: Look) -> list[str]:
    used = {beat.sign for beat in beats}
    told = [
        f"{look.paint(letter(sign, look.letters), BEAT_SIGNS[sign].kind)} {sign.value}" for sign in Sign if sign in used
    ]
    return ["   ".join(told)] if told else []
