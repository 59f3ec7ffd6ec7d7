"""What is offered where a device is missing."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from trainer.errors import DeviceError


@contextlib.contextmanager
def judged_without(command: str) -> Iterator[None]:
    """Where a device is missing, *command* is named as what judges a recording instead."""
    try:
        yield
    except DeviceError as err:
        err.do = err.do.replace("heldline sing SCORE --input FILE", command)
        raise
