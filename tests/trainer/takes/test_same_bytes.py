"""From a stored line the same bytes on every machine, today and later: verdicts, cents, remarks, and the numbers behind them.

The lines were sung by simulated singers in quiet, in noise and beside a loudspeaker, pressed on keys, or waited in their middle; their
verdicts were made by this judge and then kept (regression). Whoever changes a verdict on purpose runs ``tests/bench/lines/make.py
--verdicts`` and reads the difference.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from stored_lines import FOLDER, read_line

LINES = sorted(FOLDER.glob("*.line"))


def test_there_are_lines_of_every_kind() -> None:
    assert len(LINES) >= 15
    assert {path.stem.partition("-")[0] for path in LINES} == {"sung", "keyed", "waited"}


@pytest.mark.parametrize("path", LINES, ids=[path.stem for path in LINES])
def test_a_stored_line_gives_the_bytes_that_it_gave(path: Path) -> None:
    kept = path.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
    assert read_line(path).verdicts() == kept
