"""Scores in a line of drill text: headers, ``::``, then voices from the top parted by ``//``."""

from __future__ import annotations

from trainer.formats.drill import read
from trainer.rules.declare import parted
from trainer.score.model import VOICES_BY_PARTS, Score


def score(text: str) -> Score:
    """``mode: D dorian :: A4 F | B G // D4 | E`` as a score; voices get the trade's names, the meter is 4/4 unless said."""
    told = list(parted(text))
    voices = [body for name, body in told if name == "voice"]
    headers = {"title": "An example", "meter": "4/4"} | {name: value for name, value in told if name != "voice"}
    names = VOICES_BY_PARTS.get(len(voices), tuple(f"voice {number}" for number in range(1, len(voices) + 1)))
    lines = [f"{name}: {value}" for name, value in headers.items() if name != "free"]
    lines += [f"{name} | {body} |" for name, body in zip(names, voices, strict=True)]
    return read("\n".join(lines).encode(), "example.drill")
