"""C libraries that write to the terminal by themselves, kept off it.

ALSA, JACK and the MP3 decoder inside libsndfile print to file descriptor 2 whatever Python does with ``sys.stderr``.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Send file descriptor 2 nowhere for as long as this lasts; what Python printed before comes out first.

    Where there is no descriptor 2 (a closed terminal) nothing is done. Short stretches only: other threads' words are lost too.
    """
    with suppress(OSError, ValueError):
        sys.stderr.flush()
    try:
        kept = os.dup(2)
    except OSError:
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 2)
        finally:
            os.close(nowhere)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
