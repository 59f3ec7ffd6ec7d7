"""A small table of things remembered, one JSON file. Reading never fails, since all of it can be learnt again; writing is one step."""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from pathlib import Path
from typing import Any

from trainer.errors import LogError


def read_table(path: Path) -> dict[str, Any]:
    """What the file holds; empty when there is none, or none that can be read."""
    with contextlib.suppress(OSError, ValueError):
        table = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(table, dict):
            return table
    return {}


def write_table(path: Path, table: dict[str, Any], otherwise: str) -> None:
    """Put *table* in the file's place, its folder made. Raises LogError, *otherwise* being what was not done."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # the neighbour is on the same disk, so that the rename is one step
        handle, neighbour = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-")
        with os.fdopen(handle, "w", encoding="utf-8") as opened:
            json.dump(table, opened, indent=1, sort_keys=True)
        os.replace(neighbour, path)
    except OSError as err:
        raise LogError(
            f"{otherwise}: {(err.strerror or str(err)).lower()}", str(path), "choose another folder with HELDLINE_HOME"
        ) from err
