"""When to rest: after twenty minutes of singing since the last rest (common practice, no source; see ``trainer.plan.days``)."""

from __future__ import annotations

NUDGE_SECONDS = 20 * 60
NUDGE = "You have sung for twenty minutes. Rest your voice for five; stop if it hurts or turns hoarse."


class Rest:
    """Counts what was sung.

    Parameters
    ----------
    rate_hz : int
    before_seconds : int
        Sung without a rest before this session.
    """

    def __init__(self, rate_hz: int, before_seconds: int = 0) -> None:
        self._nudge_frames = NUDGE_SECONDS * rate_hz
        self._frames = before_seconds * rate_hz

    def sung(self, frames: int) -> None:
        """So much more."""
        self._frames += max(0, frames)

    def beside(self, notice: str) -> str:
        """*notice*, with the nudge behind it when it is time, once."""
        if self._frames < self._nudge_frames:
            return notice
        self._frames = 0
        return f"{notice} {NUDGE}".lstrip()
