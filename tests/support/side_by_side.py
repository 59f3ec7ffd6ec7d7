"""Which tests of a whole run go one after the other in one worker."""

from __future__ import annotations

from xdist.scheduler import LoadScopeScheduling

TOGETHER = {
    "at the terminal": (
        "tests/live/test_terminal",
        "tests/live/test_first_minute",
        "tests/live/test_bad_input",
        "tests/live/test_keyed",
    ),
    "real servers": ("tests/live/", "tests/audio/devices/"),
    "real throats": ("tests/end_to_end/test_real_throats",),
}
"""Real servers each have their own beat to keep; about half of the time that they take is the terminal's. What real throats need is
reckoned once."""


def worker_of(node_id: str) -> str:
    """The name of what a test goes with; its own where it may stand beside any other."""
    return next((name for name, begins in TOGETHER.items() if node_id.startswith(begins)), node_id)


class SideBySide(LoadScopeScheduling):
    """Workers are given whole groups, the largest first, and single tests as they come free."""

    def _split_scope(self, nodeid: str) -> str:
        return worker_of(nodeid)
