"""The compiled steps for whoever tracks hours of sound: benches, campaigns, tests of whole takes, those that compare the two bodies."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import platformdirs

from audio import compiled
from audio.pitch import TRACKERS

_made: dict[compiled.Step[..., Any], Callable[..., Any]] = {}


def quick_steps() -> bool:
    """Load them, kept in the user's cache from run to run; False where they cannot be. From the second time on it costs nothing."""
    import audio.canceller.stage  # noqa: F401 - has steps of its own

    TRACKERS.load("audio.pitch")
    for step, body in _made.items():
        step.now = body
    done = compiled.load(Path(platformdirs.user_cache_dir("heldline-tests", appauthor=False)) / "compiled")
    _made.update({step: step.now for step in compiled.STEPS if done})
    return done


@contextmanager
def on_quick_steps() -> Iterator[bool]:
    """The same for a while, whatever the environment says."""
    told = os.environ.pop(compiled.VARIABLE, None)
    try:
        done = quick_steps()
    finally:
        if told is not None:
            os.environ[compiled.VARIABLE] = told
    yield done
    compiled.plain()
