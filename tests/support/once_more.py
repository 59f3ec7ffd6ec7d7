"""A test in real time that failed while the machine kept a process waiting is run once more, and its line of the junit file says so.

What such a test measures is how sound arrives; where a process that only sleeps comes back far too late, because the host of a virtual
machine took the processor away or other workers had it, the test has told of the machine. A fault of ours fails twice.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from _pytest.runner import runtestprotocol

SLEEP_S = 0.005
LATE_S = 0.03
"""A period of PulseAudio at its shortest; our own."""


class Waited:
    """The longest that a sleeper came back late, in seconds."""

    longest_s = 0.0


@contextmanager
def kept_waiting() -> Iterator[Waited]:
    """Watched for while the ``with`` lasts."""
    waited, over = Waited(), threading.Event()

    def sleep() -> None:
        while True:
            before = time.monotonic()
            if over.wait(SLEEP_S):
                return
            waited.longest_s = max(waited.longest_s, time.monotonic() - before - SLEEP_S)

    sleeper = threading.Thread(target=sleep, daemon=True)
    sleeper.start()
    yield waited
    over.set()
    sleeper.join()


def run(item: pytest.Item, nextitem: pytest.Item | None) -> bool:
    """What ``pytest_runtest_protocol`` is asked for."""
    item.ihook.pytest_runtest_logstart(nodeid=item.nodeid, location=item.location)
    with kept_waiting() as waited:
        reports = runtestprotocol(item, nextitem=nextitem, log=False)
    if any(report.failed for report in reports) and waited.longest_s >= LATE_S:
        item._initrequest()  # type: ignore[attr-defined]  # as new: its fixtures are made again
        item.user_properties.append(
            ("run once more", f"a process was kept waiting for {1000 * waited.longest_s:.0f} ms")
        )
        reports = runtestprotocol(item, nextitem=nextitem, log=False)
    for report in reports:
        item.ihook.pytest_runtest_logreport(report=report)
    item.ihook.pytest_runtest_logfinish(nodeid=item.nodeid, location=item.location)
    return True
