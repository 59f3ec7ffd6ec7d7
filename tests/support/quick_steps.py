"""The compiled steps for whoever tracks hours of sound: benches, campaigns, and the tests that compare them with the plain ones."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from audio import compiled
from audio.pitch import TRACKERS


def quick_steps() -> bool:
    """Load them, kept in the user's cache from run to run; False where they cannot be."""
    TRACKERS.load("audio.pitch")
    return compiled.load(Path(platformdirs.user_cache_dir("heldline-tests", appauthor=False)) / "compiled")
