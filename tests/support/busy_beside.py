"""Processes that each keep a core busy, as a browser beside a take does."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def busy(how_many: int) -> Iterator[None]:
    """So many of them, at the usual priority, gone at the end."""
    running = [subprocess.Popen([sys.executable, "-c", "while True: sum(range(1000))"]) for _ in range(how_many)]
    try:
        yield
    finally:
        for process in running:
            process.kill()
            process.wait()
