"""Whether the machine itself stood still: on each processor something that only sleeps a millisecond, above all other priorities.

A virtual machine's host takes processors away for 5 to 20 ms when all of them are used up; nothing that runs inside can help that. What
such a process sees as a late awakening was not caused by a program beside it. Run as ``witness.py PROCESSOR`` it prints
"BEGIN END" in nanoseconds of ``time.perf_counter_ns`` for each standstill, until its stdin ends.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

SLEEP_NS = 1_000_000
LATE_NS = 1_500_000
PRIORITY = 50
"""Above jackd's 10 of tests/support/servers.py and what it gives its clients."""


class Standstills:
    """What the witnesses saw."""

    def __init__(self) -> None:
        self.seen: list[tuple[int, int]] = []

    def read(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            begin, end = line.split()
            self.seen.append((int(begin), int(end)))

    def at(self, ns: int, *, before_ns: int, after_ns: int) -> bool:
        """Whether the machine stood still at any time from *before_ns* before to *after_ns* after."""
        return any(begin <= ns + after_ns and ns - before_ns <= end for begin, end in self.seen)

    def ms_between(self, begin_ns: int, end_ns: int) -> float:
        """All of it, of all processors together."""
        return sum(end - begin for begin, end in self.seen if begin_ns <= begin <= end_ns) / 1e6


@contextmanager
def standstills() -> Iterator[Standstills]:
    """Watched for while the ``with`` lasts; sees nothing where real-time priority is not allowed."""
    seen = Standstills()
    processes = [
        subprocess.Popen(
            [sys.executable, __file__, str(number)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for number in sorted(os.sched_getaffinity(0))
    ]
    readers = [threading.Thread(target=seen.read, args=(process,), daemon=True) for process in processes]
    for reader in readers:
        reader.start()
    try:
        yield seen
    finally:
        for process in processes:
            process.communicate() if process.stdin is None else process.stdin.close()
        for process, reader in zip(processes, readers, strict=True):
            process.wait(10)
            reader.join(10)


def main(processor: int) -> None:
    """Tell of each standstill."""
    os.sched_setaffinity(0, {processor})
    over = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), over.set()), daemon=True).start()
    with contextlib.suppress(PermissionError):
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(PRIORITY))
        while not over.is_set():
            before = time.perf_counter_ns()
            time.sleep(SLEEP_NS / 1e9)
            after = time.perf_counter_ns()
            if after - before > SLEEP_NS + LATE_NS:
                sys.stdout.write(f"{before} {after}\n")
                sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]))
