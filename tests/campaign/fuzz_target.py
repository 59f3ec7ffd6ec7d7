"""The child of the fuzzing campaign: ``fuzz_target.py READER [libFuzzer's options]``."""

from __future__ import annotations

import sys
from pathlib import Path

import atheris  # type: ignore[import-not-found, unused-ignore]

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
READER = sys.argv.pop(1)

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


def one(content: bytes) -> None:
    """Whatever comes out of here other than by return is a find."""
    try:
        score = FORMAT.read(content, "a/path")
    except ScoreError as err:
        if not (err.what and err.do and "a/path" in err.where and err.exit_status == 4):
            raise AssertionError(f"an error without its three parts: {err}") from err
        return
    if not 1 <= len(score.lines) <= MOST_LINES or not score.bars().bars or not score.digest():
        raise AssertionError("a score that is none")
    try:
        text = DRILL.write is not None and DRILL.write(score)
    except ScoreError:
        return  # lengths that no bar of drill text can hold
    again = DRILL.read(text or b"", "written")
    if [line.notes for line in again.lines] != [line.notes for line in score.lines]:
        raise AssertionError("other notes after drill text")


atheris.Setup(sys.argv, one)
atheris.Fuzz()
