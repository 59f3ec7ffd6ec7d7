"""How unexpected an interval is, by what the voices of 365 chorales do: -log2 of its share after an interval of the same class.

The table beside this file was counted by ``tests/bench/singable/count.py`` from the four-part chorales in the music21 package (10.5.1;
counts only, the music is in the public domain). An interval is (letters, semitones), up positive; intervals across a rest or a fermata
are left out. What came before is one of six classes, or nothing at the beginning of a phrase. Everything is in whole numbers: bits are
hundredths, found exactly, so that every machine has the same.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from importlib import resources

from trainer.rules.texture import Tone, joined
from trainer.singable.part import Part

CLASSES = ("start", "same", "step-up", "step-down", "leap-up", "leap-down")
VOICES = ("soprano", "alto", "tenor", "bass")
Interval = tuple[int, int]


@cache
def table() -> dict[tuple[str, str], dict[Interval, int]]:
    """Counts by (voice, class before), then by interval."""
    found: dict[tuple[str, str], dict[Interval, int]] = {}
    text = resources.files("trainer.singable").joinpath("chorales.counts").read_text(encoding="utf-8")
    for line in text.splitlines():
        if line and not line.startswith("#"):
            voice, before, letters, semitones, count = line.split()
            found.setdefault((voice, before), {})[int(letters), int(semitones)] = int(count)
    return found


@cache
def bits_c100(voice: str, before: str, interval: Interval) -> int:
    """Hundredths of a bit, rounded down. An interval never counted has the share that half a time would give it."""
    row = table()[voice, before]
    kinds = len({one for (name, _), counts in table().items() if name == voice for one in counts}) + 1
    share_n, share_d = 2 * row.get(interval, 0) + 1, 2 * sum(row.values()) + kinds
    # floor(100 log2(d / n)) is one less than the length of floor((d / n) ** 100) in binary digits
    return (share_d**100 // share_n**100).bit_length() - 1


def class_of(before: Tone | None, after: Tone) -> str:
    """The class of the interval that leads to *after*; "start" where nothing, or a rest, leads there."""
    if before is None or not joined(before, after):
        return "start"
    letters = after.dia - before.dia
    if letters == 0:
        return "same"
    return f"{'step' if abs(letters) == 1 else 'leap'}-{'up' if letters > 0 else 'down'}"


def surprise_c100(part: Part, before: Tone, after: Tone) -> int:
    """Hundredths of a bit for the interval between two notes of a line that follow each other."""
    led = class_of(part.texture.before(before), before)
    return bits_c100(part.compass.voice, led, (after.dia - before.dia, after.midi - before.midi))


def line_bits(part: Part) -> Fraction:
    """Mean bits an interval; 0 for a line without any."""
    told = [surprise_c100(part, before, after) for before, after in part.steps()]
    return Fraction(sum(told), 100 * len(told)) if told else Fraction(0)
