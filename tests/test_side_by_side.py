"""Whole runs go side by side in the way that conftest promises."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from side_by_side import FIRST, TOGETHER, worker_of

HERE = Path(__file__).parent


def test_real_servers_have_two_workers_of_their_own_and_every_other_file_stands_anywhere() -> None:
    assert worker_of("tests/live/test_terminal.py::test_x") == "at the terminal"
    assert worker_of("tests/live/test_sung.py::test_x[jack]") == worker_of("tests/audio/devices/test_gone.py::test_y")
    assert worker_of("tests/audio/test_block.py::test_x[a::b]") == "tests/audio/test_block.py"


def test_what_begins_first_is_there() -> None:
    for name in FIRST:
        assert name in TOGETHER or (HERE.parent / name).is_file(), name


def test_a_group_runs_in_one_worker_under_the_pytest_that_is_installed(tmp_path: Path) -> None:
    """Red with pytest-xdist's own groups, whose names pytest 9.2 no longer shows to it."""
    fake = tmp_path / "tests/audio/devices"
    fake.mkdir(parents=True)
    (tmp_path / "pytest.ini").write_text(f"[pytest]\npythonpath = {HERE / 'support'}\n")
    (tmp_path / "conftest.py").write_text((HERE / "conftest.py").read_text())
    (fake / "test_many.py").write_text("".join(f"def test_{k}(): pass\n" for k in range(12)))
    words = [sys.executable, "-m", "pytest", "-n2", "-v", "-p", "no:cacheprovider", "tests"]
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, timeout=60, check=False, env=env)
    workers = re.findall(r"^\[(gw\d)\].*PASSED", done.stdout, re.MULTILINE)
    assert len(workers) == 12, done.stdout + done.stderr
    assert len(set(workers)) == 1


@pytest.mark.skipif(
    sys.platform != "linux", reason="the system ends the servers of a run that was killed on Linux only"
)
def test_a_run_that_is_killed_leaves_no_server_behind() -> None:
    code = "import servers, sys\nwith servers.nothing_there() as one:\n print(one.process.pid, flush=True)\n sys.stdin.read()"
    env = {**os.environ, "PYTHONPATH": str(HERE / "support")}
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
    ) as run:
        assert run.stdout is not None
        server = psutil.Process(int(run.stdout.readline()))
        while server.name() != "sleep":  # bound to the run first, then the server
            time.sleep(0.005)
        run.send_signal(signal.SIGKILL)
        run.wait(10)
    until = time.monotonic() + 5
    while alive(server) and time.monotonic() < until:
        time.sleep(0.005)
    assert not alive(server)


def alive(process: psutil.Process) -> bool:
    """Whether it still runs; one that nobody has buried yet does not."""
    try:
        return process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False
