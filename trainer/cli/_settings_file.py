"""One line of the settings file is changed and all others, remarks included, stay as the user wrote them."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import Any

from trainer.cli._chosen import read_file
from trainer.errors import SettingError


def put(path: Path, name: str, value: Any) -> None:
    """Set *name* in the file, made with its folder when it is not there. Raises SettingError."""
    line = f"{name} = {_toml(value)}\n"
    lines = _lines(path)
    for index, old in enumerate(lines[: _before_tables(lines)]):
        if _names(old, name):
            lines[index] = line
            break
    else:
        lines.insert(_before_tables(lines), line)
    _write(path, lines)


def take_out(path: Path, name: str) -> None:
    """Take *name* out of the file, so that what lies below it holds again. Raises SettingError."""
    lines = _lines(path)
    tables = _before_tables(lines)
    kept = [line for index, line in enumerate(lines) if index >= tables or not _names(line, name)]
    if kept != lines:
        _write(path, kept)


def _lines(path: Path) -> list[str]:
    read_file(path)  # a file that is not TOML is not written over
    try:
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    except FileNotFoundError:
        return []
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    return lines


def _names(line: str, name: str) -> bool:
    return re.match(rf"\s*[\"']?{re.escape(name)}[\"']?\s*=", line) is not None


def _before_tables(lines: list[str]) -> int:
    """Where a new top-level line may stand: before the first table."""
    return next((index for index, line in enumerate(lines) if line.lstrip().startswith("[")), len(lines))


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else f"{value!r}"


def _write(path: Path, lines: list[str]) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # the neighbour is on the same disk, so that the rename is one step
        handle, neighbour = tempfile.mkstemp(dir=path.parent, prefix=".settings-")
        with os.fdopen(handle, "w", encoding="utf-8") as opened:
            opened.writelines(lines)
        os.replace(neighbour, path)
    except OSError as err:
        raise SettingError(
            f"the settings cannot be written: {(err.strerror or str(err)).lower()}",
            str(path),
            "choose another folder with HELDLINE_HOME",
        ) from err
