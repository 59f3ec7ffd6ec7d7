"""The public command as an outside program uses it: words in, exit status and two streams out."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

NEVER_SUNG = {"silent", "unsure", "rest"}
"""Signs of a beat in which nothing was surely sung."""


@dataclass(frozen=True, slots=True)
class Done:
    """How one command ended."""

    status: int
    out: str
    err: str

    @property
    def table(self) -> Any:
        """stdout as one JSON object; it must hold nothing else."""
        return json.loads(self.out)


def heldline(*words: object) -> Done:
    """One command line in this process."""
    from trainer.cli import main

    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([str(word) for word in words])
    return Done(status, out.getvalue(), err.getvalue())


def heldline_child(
    *words: object, cwd: Path | None = None, env: Mapping[str, str] | None = None, timeout_s: float = 120
) -> Done:
    """One command line in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "trainer", *(str(word) for word in words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2]), **(env or {})},
        stdin=subprocess.DEVNULL,
        timeout=timeout_s,
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)


def judged(*words: object) -> dict[str, Any]:
    """The take of a ``sing`` or ``key`` in which something was heard."""
    done = heldline(*words, "--json")
    assert done.status == 0, f"status {done.status}: {done.err or done.out[-400:]}"
    table: dict[str, Any] = done.table
    assert table["schema"] == "heldline.take/1"
    return table


def signs(take: Mapping[str, Any]) -> list[str]:
    """Main sign of every written note in order."""
    return [note["sign"] for note in take["notes"] if note["expected"] is not None]


def written_notes(take: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Every written note, rests that were sung in left out."""
    return [note for note in take["notes"] if note["expected"] is not None]


def save(place: Path, samples: NDArray[np.float64], rate_hz: int, **how: Any) -> Path:
    """A recording on the disk; format by the ending."""
    soundfile.write(place, samples, rate_hz, **how)
    return place
