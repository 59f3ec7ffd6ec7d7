"""A section at one microphone, for its leader: its middle, how far apart it is, which octaves, its two lines, and never a person."""

from __future__ import annotations

import textwrap
from typing import Any

from trainer.judge.crowd import CrowdTake, Entries
from trainer.judge.divided import HEARD, MISSING, UNSURE, DividedTake, Half, HalfNote
from trainer.reports.look import Look
from trainer.reports.wording import bars_words, cents_words, count_words

CLOSE_CENTS, WIDE_CENTS = 15, 30
"""Choir sections spread by 16 to 30 cents (Cuesta and others 2018)."""


def crowd_to_json(crowd: CrowdTake) -> dict[str, Any]:
    """The keys that a crowd adds to a section's object."""
    return {
        "centre_cents": crowd.centre_cents,
        "spread_cents": crowd.spread_cents,
        "octave_split": crowd.octave_split,
        "octave_shift": crowd.octave,
        "sinking_cents": crowd.sinking_cents,
        "entries": crowd.entries.word,
        "crowd_notes": [
            {
                "bar": note.bar,
                "beat": float(note.beat),
                "expected": note.expected,
                "centre_cents": note.centre_cents,
                "spread_cents": note.spread_cents,
            }
            for note in crowd.notes
        ],
        "crowd_says": crowd_says(crowd),
    }


def divided_to_json(divided: DividedTake) -> dict[str, Any]:
    """The key that a section in two lines adds."""
    return {
        "divisi": {
            "upper": _half_to_json(divided.upper),
            "lower": _half_to_json(divided.lower),
            "notes": [
                {
                    "bar": note.bar,
                    "beat": float(note.beat),
                    "upper": _half_note_to_json(note.upper),
                    "lower": _half_note_to_json(note.lower),
                }
                for note in divided.notes
            ],
            "says": divided_says(divided),
        }
    }


def _half_to_json(half: Half) -> dict[str, Any]:
    return {
        "voice": half.voice,
        "sign": half.sign,
        "heard": half.heard,
        "told": half.told,
        "centre_cents": half.centre_cents,
    }


def _half_note_to_json(note: HalfNote) -> dict[str, Any]:
    return {"expected": note.expected, "sign": note.sign, "centre_cents": note.centre_cents}


def crowd_as_text(crowd: CrowdTake, look: Look, divided: DividedTake | None = None) -> str:
    """All at one microphone, in sentences; of a divided section its two lines first."""
    lines = [look.paint("All at one microphone: several voices, so nobody is judged alone", "head")]
    told = crowd_says(crowd)
    if divided is not None:
        told = divided_says(divided) + (["Where both lines have one note:", *told] if crowd.long_notes else [])
    for sentence in told:
        lines += textwrap.wrap(sentence, look.width, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(lines)


def crowd_says(crowd: CrowdTake) -> list[str]:
    """One sentence a fact."""
    return _pitch_says(crowd) + _entries_say(crowd.entries)


def _entries_say(entries: Entries) -> list[str]:
    if entries.word is None:
        return []
    return [f"Entries {entries.word}, on {count_words(entries.measured, 'note')} after a rest or at the start."]


def _pitch_says(crowd: CrowdTake) -> list[str]:
    if crowd.centre_cents is None:
        if not crowd.long_notes:
            return ["No note of this line lasts two seconds at this tempo: sing it slower for figures."]
        return ["Nothing was heard on the long notes."]
    heard, long_notes = len(crowd.notes), count_words(crowd.long_notes, "long note")
    told = [
        f"The middle of it is {cents_words(crowd.centre_cents)}, on {f'{heard} of ' * (heard < crowd.long_notes)}{long_notes}."
    ]
    if crowd.spread_cents is not None:
        size = crowd.spread_cents
        word = (
            "close together"
            if size <= CLOSE_CENTS
            else "wide apart"
            if size > WIDE_CENTS
            else "as sections usually are"
        )
        told.append(f"Spread {size} cents: {word} (choir sections have 16 to 30; Cuesta and others 2018).")
    elif crowd.vibrato:
        told.append("Sung with vibrato, which no spread can be told from: sing the long notes straight for a figure.")
    if crowd.octave_split:
        told.append("Two octaves are sung at once.")
    elif crowd.octave_split is None:
        told.append("Whether somebody sings an octave higher is not clear.")
    if crowd.octave:
        told.append(f"Sung an octave {'higher' if crowd.octave > 0 else 'lower'} than written.")
    if crowd.sinking_cents is not None:
        way = "sinks" if crowd.sinking_cents < 0 else "rises"
        told.append(f"It {way} by {abs(crowd.sinking_cents)} cents from the first long note to the last.")
    return told


def divided_says(divided: DividedTake) -> list[str]:
    """One sentence a line, then where nothing is told and why."""
    if not divided.notes:
        return ["The two lines never hold different notes for two seconds at this tempo: sing it slower for figures."]
    halves = {"upper": divided.upper, "lower": divided.lower}
    told = [f"{name.capitalize()} ({half.voice}): {_half_says(half)}." for name, half in halves.items()]
    for name, signs in (
        ("upper", [note.upper.sign for note in divided.notes]),
        ("lower", [note.lower.sign for note in divided.notes]),
    ):
        silent = [note for note, sign in zip(divided.notes, signs, strict=True) if sign == MISSING]
        if silent and halves[name].sign == HEARD:
            told.append(f"Nobody is heard on the {name} line's note in {bars_words(silent)}.")
    unsure = [note for note in divided.notes if UNSURE in (note.upper.sign, note.lower.sign)]
    if unsure:
        told.append(f"Unsure in {bars_words(unsure)}: the two notes are closer than a third, or one covers the other.")
    return told


def _half_says(half: Half) -> str:
    if half.sign == UNSURE:
        return "unsure"
    if half.sign == MISSING or half.centre_cents is None:
        return f"nobody is heard on it, {half.heard} of {count_words(half.told, 'long note')}"
    return f"the middle is {cents_words(half.centre_cents)}, heard on {half.heard} of {count_words(half.told, 'long note')}"
