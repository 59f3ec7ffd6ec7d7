"""The child of the fuzzing campaign: ``fuzz_target.py READER TALLY [libFuzzer's options]``.

Of eight new inputs seven are changed in the shape of their format (``fuzz_shapes``), one byte by byte. How many inputs there were and how
many of them gave a score is written into the file TALLY.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import atheris  # type: ignore[import-not-found, unused-ignore]

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]
READER, TALLY = sys.argv.pop(1), Path(sys.argv.pop(1))
BYTEWISE_ONE_IN = 8
TOLD_EVERY = 200

with atheris.instrument_imports(include=["trainer.formats", "trainer.score", "mido"]):
    import mido  # noqa: F401

    import trainer.formats._abc_read
    import trainer.formats._kern_read
    import trainer.formats._midi_read
    import trainer.formats._xml_read  # noqa: F401
    from trainer.errors import ScoreError
    from trainer.formats import MOST_LINES, formats

    FORMAT = formats()[READER]
    DRILL = formats()["drill"]

import fuzz_shapes  # noqa: E402 - not instrumented: only what is tested counts as reached

COUNTS = {"inputs": 0, "scores": 0}


def tell() -> None:
    """The counts so far; the fuzzer leaves without a word."""
    TALLY.write_text(f"{COUNTS['inputs']} {COUNTS['scores']}\n")


def changed(content: bytes, most: int, seed: int) -> bytes:
    """The fuzzer's next input out of one of its corpus."""
    rng = random.Random(seed)
    if rng.randrange(BYTEWISE_ONE_IN):
        new = fuzz_shapes.changed(READER, content, rng)
        if new != content and len(new) <= most:
            return new
    found: bytes = atheris.Mutate(content, most)
    return found


def one(content: bytes) -> None:
    """Whatever comes out of here other than by return is a find."""
    COUNTS["inputs"] += 1
    if COUNTS["inputs"] % TOLD_EVERY == 0:
        tell()
    try:
        score = FORMAT.read(content, "a/path")
    except ScoreError as err:
        if not (err.what and err.do and "a/path" in err.where and err.exit_status == 4):
            raise AssertionError(f"an error without its three parts: {err}") from err
        return
    COUNTS["scores"] += 1
    if not 1 <= len(score.lines) <= MOST_LINES or not score.bars().bars or not score.digest():
        raise AssertionError("a score that is none")
    try:
        text = DRILL.write is not None and DRILL.write(score)
    except ScoreError:
        return  # lengths that no bar of drill text can hold
    again = DRILL.read(text or b"", "written")
    if [line.notes for line in again.lines] != [line.notes for line in score.lines]:
        raise AssertionError("other notes after drill text")


atheris.Setup(sys.argv, one, custom_mutator=changed)
atheris.Fuzz()
