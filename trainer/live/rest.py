"""When to rest: after twenty minutes of singing in one session (common practice, no source; the log knows of the whole day)."""

from __future__ import annotations

NUDGE_SECONDS = 20 * 60
NUDGE = "You have sung for twenty minutes. Rest your voice for five; stop if it hurts or turns hoarse."


class Rest:
    """Counts what was sung."""

    def __init__(self, rate_hz: int) -> None:
        self._nudge_frames = NUDGE_SECONDS * rate_hz
        self._frames = 0

    def sung(self, frames: int) -> None:
        """So much more."""
        self._frames += max(0, frames)

    def words(self) -> str:
        """The nudge when it is time, once; else ""."""
        if self._frames < self._nudge_frames:
            return ""
        self._frames = 0
        return NUDGE
