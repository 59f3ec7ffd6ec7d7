"""Days of practice played through in a terminal, with a singer on a real sound server: see ``tests/support/played_days.py``.

An attempt is one of the days, in turn; ``--set screens=FOLDER`` keeps the screens that were seen.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import servers
from played_days import KETTLE, KETTLE_REWRITTEN, Evening, thursday, tuesday, wednesday
from tmux_terminal import terminal

NO_BREATH = "without a rest or a breath mark"
COLUMNS, ROWS = 80, 60


def _thursday(evening: Evening) -> list[str]:
    return thursday(evening, KETTLE, KETTLE_REWRITTEN, 6, voice="alto", warned=NO_BREATH)


DAYS = {"tuesday": tuesday, "wednesday": wednesday, "thursday": _thursday}


class Campaign:
    """One day an attempt."""

    def __init__(self, scratch: Path, screens: str = "") -> None:
        self.count, self._scratch, self._screens = 0, scratch, screens
        self.screens_seen = 0

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails where something is not seen that the day has."""
        name = list(DAYS)[seed % len(DAYS)]
        folder = self._scratch / f"{name}-{seed}"
        folder.mkdir()
        with servers.pulse() as server:
            server.env["HELDLINE_HOME"] = str(folder / "home")
            with terminal(folder, server.env, columns=COLUMNS, rows=ROWS) as window:
                seen = DAYS[name](Evening(server, window, folder))
        self.screens_seen += len(seen)
        if self._screens:
            Path(self._screens).mkdir(parents=True, exist_ok=True)
            told = f"\n{'=' * COLUMNS}\n".join(one.rstrip() for one in seen)
            (Path(self._screens) / f"{name}-{seed}.txt").write_text(told + "\n", encoding="utf-8")
        return {"day": name, "screens": len(seen)}

    def summary(self) -> tuple[list[str], bool]:
        """How much was seen."""
        return [f"{self.count} days, {self.screens_seen} screens as they should be"], True
