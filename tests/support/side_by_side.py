"""Which tests of a whole run go one after the other in one worker, and which begin first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from xdist.scheduler import LoadScopeScheduling

if TYPE_CHECKING:
    from xdist.workermanage import WorkerController

TOGETHER = {
    "at the terminal": (
        "tests/live/test_terminal",
        "tests/live/test_first_minute",
        "tests/live/test_bad_input",
        "tests/live/test_keyed",
    ),
    "real servers": ("tests/live/", "tests/audio/devices/"),
}
"""Real servers each have their own beat to keep; about half of the time that they take is the terminal's."""

FIRST = (
    "real servers",
    "at the terminal",
    "tests/end_to_end/test_planted_faults.py",
    "tests/end_to_end/test_recordings_of_every_kind.py",
    "tests/trainer/live/test_session.py",
    "tests/end_to_end/test_our_own_loudspeaker.py",
    "tests/trainer/live/test_take.py",
    "tests/end_to_end/test_nobody_sings.py",
    "tests/contracts/test_formats.py",
    "tests/trainer/takes/test_own_time.py",
    "tests/trainer/cli/test_soundcheck.py",
    "tests/end_to_end/test_real_throats.py",
)
"""What takes longest begins first, so that at the end no worker is left with a long one alone; a file that is not there is no fault."""


def worker_of(node_id: str) -> str:
    """The name of what a test goes with: its file, since what the tests of a file share is made once in a worker."""
    return next((name for name, begins in TOGETHER.items() if node_id.startswith(begins)), node_id.partition("::")[0])


class SideBySide(LoadScopeScheduling):
    """Workers are given whole groups, the longest first, then those of most tests."""

    def _split_scope(self, nodeid: str) -> str:
        return worker_of(nodeid)

    def _assign_work_unit(self, node: WorkerController) -> None:
        waiting = next((name for name in FIRST if name in self.workqueue), None)
        if waiting is not None:
            self.workqueue.move_to_end(waiting, last=False)
        super()._assign_work_unit(node)
