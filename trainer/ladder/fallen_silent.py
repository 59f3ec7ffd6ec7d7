"""Bars in which every voice fell silent: how far off the singer was when they came back."""

from __future__ import annotations

from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict, Take
from trainer.score.time import bar_named, bars_named

FEW_CENTS = 10
"""What no listener notices (about the smallest step heard in melodies, Hill and Summers 2007)."""


def returned_words(take: Take, silent_bars: tuple[int, int]) -> str:
    """A sentence; "" where the bars are not in the take."""
    inside = [note for note in _written(take) if silent_bars[0] <= note.bar <= silent_bars[1]]
    after = next((note for note in _written(take) if note.bar > silent_bars[1]), None)
    if not inside or after is None:
        return ""
    bars = bars_named(range(silent_bars[0], silent_bars[1] + 1), {beat.bar: beat.printed_bar for beat in take.beats})
    told = [note for note in inside if note.cents is not None and note.sign not in (Sign.PULLED, Sign.OFF, Sign.OCTAVE)]
    back = f"back in {bar_named(after.bar, after.printed_bar)} {_how(after)}"
    if not told:
        return f"In {bars} the voices fell silent, and so did you: {back}."
    last = told[-1].cents or 0
    way = "in tune with them" if abs(last) <= FEW_CENTS else f"{abs(last)} cents {'above' if last > 0 else 'below'}"
    return f"In {bars} the voices fell silent: you were {way} at the end of it, {back}."


def _written(take: Take) -> list[NoteVerdict]:
    return [note for note in take.notes if note.expected is not None]


def _how(note: NoteVerdict) -> str:
    if note.sign not in (Sign.HELD, Sign.BREATH, Sign.SHARP, Sign.FLAT):
        return f"it was {note.sign.value}"
    held = "held" if note.sign in (Sign.HELD, Sign.BREATH) else "not in tune"
    if note.cents is None or abs(note.cents) <= FEW_CENTS:
        return held
    return f"{held}, {abs(note.cents)} cents {'sharp' if note.cents > 0 else 'flat'}"
