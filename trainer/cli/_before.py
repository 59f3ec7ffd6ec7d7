"""One rule for every file that a command writes: it may take the place of another, and that one is kept beside it, told of."""

from __future__ import annotations

import argparse
import contextlib
import filecmp
import os
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path

MARK = "~"
"""Put behind the name of what was there before."""

HELP = f"what was there is kept as FILE{MARK}"


class Before:
    """What stood where a command writes. Told once, when the command has written everything."""

    def __init__(self) -> None:
        self._kept: list[tuple[str, Path]] = []

    @contextlib.contextmanager
    def kept(self, path: str | os.PathLike[str]) -> Iterator[None]:
        """Around the writing of one file: what other bytes stood there stand beside it afterwards, under its name and ``~``.

        Where the writing fails nothing is changed; an older neighbour of that name is given up only for a newer one.
        """
        place, hold = _place(path), None
        try:
            if place is not None:
                hold = _held(place)
            yield
            if place is not None and hold is not None and not filecmp.cmp(hold, path, shallow=False):
                beside = place.with_name(place.name + MARK)
                os.replace(hold, beside)
                self._kept.append((os.fspath(path), beside))
        finally:
            if hold is not None:
                hold.unlink(missing_ok=True)

    def tell(self, args: argparse.Namespace) -> None:
        """Say on stderr what was replaced, unless nothing is to be said."""
        if args.quiet or not self._kept:
            return
        from trainer.cli._take import tell

        if len(self._kept) == 1:
            path, beside = self._kept[0]
            tell(f"there was a file {path}; it is kept as {beside.name}")
        else:
            tell(
                f"there were {len(self._kept)} files of these names; each is kept beside the new one, its name ending in {MARK}"
            )


def _place(path: str | os.PathLike[str]) -> Path | None:
    """The ordinary file that will be replaced, a link followed; None where there is none, or where writing will say why not."""
    try:
        place = Path(os.path.realpath(path))
        return place if place.is_file() else None
    except (OSError, ValueError):
        return None


def _held(place: Path) -> Path | None:
    """A second name for the file, or a copy where a disk has no second names; None where neither can be had."""
    hold = place.with_name(f".{place.name[:40]}.{secrets.token_hex(4)}.before")
    try:
        os.link(place, hold)
    except OSError:
        try:
            shutil.copy2(place, hold)
        except OSError:
            hold.unlink(missing_ok=True)
            return None
    return hold
