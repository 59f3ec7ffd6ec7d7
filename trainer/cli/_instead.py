"""What is offered where a device is missing: every command names itself, and what it, or its neighbour, does without."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from trainer.errors import NoDeviceError

DEMO = "heldline demo shows a whole take"
TO_A_FILE = "heldline hear SCORE -o FILE.wav writes the voices to a file"
WITHOUT = {
    "sing": f"heldline sing SCORE --voice VOICE --input FILE judges a recording, {DEMO}",
    "key": "heldline key SCORE --voice VOICE --input FILE.mid judges a MIDI file, --degrees takes the number row",
    "ladder": f"heldline ladder SCORE --voice VOICE --list names the rungs, {TO_A_FILE} to practise beside",
    "drill": "heldline hear SCORE --bars A-B -o FILE.wav writes the bars to a file to practise beside, "
    "heldline sing SCORE --input FILE judges a recording",
    "tune": "heldline tune SCORE -o FILE.wav writes the others to a file, heldline tune SCORE --input FILE judges a recording",
    "warmup": "heldline warmup --input FILE reads a recording, heldline warmup --compass LOW-HIGH takes your word",
    "sectional": "heldline sectional SCORE --voice VOICE --input LABEL=FILE,... judges recordings, --list says which bars",
    "soundcheck": f"nothing can be checked; {DEMO}, heldline sing SCORE --input FILE judges a recording",
    "hear": TO_A_FILE,
    "review": "heldline review --hear BARS -o FILE.wav writes them to a file",
}
"""By command: what can be done without the device, each with what to type."""


@contextlib.contextmanager
def without_it(command: str) -> Iterator[None]:
    """Where a device is missing, *command* is named as what misses it, and what can be done without."""
    try:
        yield
    except NoDeviceError as err:
        asked = f"heldline {command}"
        err.where = f"{asked}: {err.where}" if err.where else asked
        if command in WITHOUT:
            err.do = f"{err.do}; without one: {WITHOUT[command]}"
        raise
