"""heldline in a real terminal, driven by tmux and read from its screen: sizes, keys, and how it gives the terminal back."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest
import servers
from tmux_terminal import Terminal, terminal

SING = ("sing", "1", "--voice", "tenor", "--tempo", "240", "--bars", "1-6", "--look-through", "30")
SINGING = (*SING[:-1], "0")
UNSOUNDED = (*SINGING, "--silent")
"""Begins with its count, five seconds sooner: where only the screen and the signals are looked at."""


@pytest.fixture
def pulse(there: None) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield server


@pytest.fixture
def window(pulse: servers.Server, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Terminal]:
    columns, rows = getattr(request, "param", (80, 24))
    env = {**pulse.env, "HELDLINE_HOME": str(tmp_path / "home")}
    with terminal(tmp_path, env, columns=columns, rows=rows) as opened:
        yield opened


def home_of(tmp_path: Path) -> dict[str, str]:
    return {**os.environ, "HELDLINE_HOME": str(tmp_path / "home"), "PYTHONPATH": str(servers.ROOT)}


def takes(tmp_path: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "trainer", "takes"],
        env=home_of(tmp_path),
        capture_output=True,
        text=True,
        timeout=30,
        check=True,
    )
    return done.stdout + done.stderr


def test_a_whole_take_from_the_look_through_to_the_report(window: Terminal, tmp_path: Path) -> None:
    window.run(*SING)
    window.shows("tuning note")
    assert window.modes() == {"alternate": "1", "cursor": "0"}
    window.type("Space")
    window.shows("look-through")
    window.shows("Look out: bar 6: the alto's D is nearer to your last note, down a 4th")
    window.type("Space")
    window.shows("count-in")
    window.shows("singing bar 2")
    window.shows("done", 40)
    window.shows("Next")
    window.type("w")
    window.shows("bar and beat")
    window.type("2.1", "Enter")
    window.shows("Bar 2 beat 1")
    window.type("?")
    window.shows("pause, and go on")
    window.type("?")
    window.type("q")
    assert window.status() == 5  # nobody sang
    assert window.given_back()
    assert "nothing heard" in takes(tmp_path)


@pytest.mark.parametrize("window", [(60, 16), (20, 5), (200, 50)], indirect=True)
def test_no_size_of_terminal_hinders_a_take(window: Terminal) -> None:
    window.run(*UNSOUNDED)
    window.shows("singing")
    seen = window.screen().rstrip("\n").split("\n")
    assert "q quit" in seen[-1]
    window.type("q")
    window.status()
    assert window.given_back()


def test_a_terminal_made_smaller_and_larger_in_a_take_is_redrawn_to_fit(window: Terminal) -> None:
    window.run(*UNSOUNDED)
    window.shows("singing")
    for columns, rows, begins in ((60, 16, "Ferry Bell"), (20, 5, "singing bar"), (100, 30, "Ferry Bell")):
        window.resize(columns, rows)

        def fits(columns: int = columns, rows: int = rows, begins: str = begins) -> bool:
            seen = window.screen().rstrip("\n").split("\n")
            drawn = seen[0].startswith(begins) and "q quit" in seen[-1] and len(seen) <= rows
            return drawn and max(map(len, seen)) <= columns

        window.until(fits, f"screen of {columns} by {rows}", 5)
    window.type("q")
    window.status()
    assert window.given_back()


def test_ctrl_c_ends_the_take_and_keeps_it_and_a_second_one_leaves(window: Terminal, tmp_path: Path) -> None:
    window.run(*SINGING)
    window.shows("singing bar 2")
    window.type("C-c")
    window.shows("done")
    assert window.modes()["alternate"] == "1"
    window.type("C-c")
    assert window.status() == 130
    assert window.given_back()
    assert "Ferry Bell at Low Water" in takes(tmp_path)


@pytest.mark.parametrize(
    ("number", "status", "words"), [(signal.SIGTERM, 143, SINGING), (signal.SIGHUP, 129, UNSOUNDED)]
)
def test_terminate_and_hang_up_give_the_terminal_back(
    window: Terminal, tmp_path: Path, number: signal.Signals, status: int, words: tuple[str, ...]
) -> None:
    window.run(*words)
    window.shows("singing bar 2")
    os.kill(window.pid(), number)
    assert window.status() == status
    assert window.given_back()
    assert "a take that was stopped is now take 1" in takes(tmp_path)


def test_ctrl_z_gives_the_terminal_to_the_shell_and_going_on_takes_it_back(window: Terminal) -> None:
    window.run(*UNSOUNDED)
    window.shows("singing")
    window.type("C-z")
    window.shows("Stopped")
    window.until(window.given_back, "usual terminal")
    window.type("fg", "Enter")
    window.until(lambda: window.modes() == {"alternate": "1", "cursor": "0"}, "screen of its own")
    window.shows("q quit")
    window.type("q")
    window.until(window.given_back, "usual terminal")


def test_a_terminal_that_is_closed_ends_the_program_and_loses_nothing(window: Terminal, tmp_path: Path) -> None:
    window.run(*UNSOUNDED)
    window.shows("singing bar 2")
    process = psutil.Process(window.pid())
    window.tmux("kill-server")
    process.wait(10)
    assert "a take that was stopped is now take 1" in takes(tmp_path)


def test_killed_in_a_take_at_most_a_second_is_lost(window: Terminal, tmp_path: Path) -> None:
    window.run("sing", "1", "--voice", "tenor", "--tempo", "120", "--look-through", "0")
    window.shows("singing bar 2")
    time.sleep(1.0)
    pid = window.pid()
    began = (tmp_path / "home" / "running").iterdir()
    (path,) = began
    written_at = path.stat().st_mtime
    os.kill(pid, signal.SIGKILL)
    assert time.time() - written_at < 1.0
    assert "a take that was stopped is now take 1" in takes(tmp_path)


def test_a_server_that_dies_in_a_take_is_told_and_the_take_kept(
    window: Terminal, pulse: servers.Server, tmp_path: Path
) -> None:
    window.run(*SINGING)
    window.shows("singing bar 2")
    pulse.kill()
    status = window.status(15)
    assert status in (0, 5)
    assert window.given_back()
    assert "take 1" in takes(tmp_path) or "Ferry Bell" in takes(tmp_path)


def test_two_takes_at_once_are_both_kept(window: Terminal, pulse: servers.Server, tmp_path: Path) -> None:
    window.run(*SINGING)
    window.shows("singing")
    env = {**pulse.env, "HELDLINE_HOME": str(tmp_path / "home")}
    other = subprocess.run(
        [sys.executable, "-m", "trainer", *UNSOUNDED, "--json"],
        env=env,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert other.returncode == 5, other.stderr
    window.shows("done", 40)
    window.type("q")
    window.status()
    assert takes(tmp_path).count("Ferry Bell") == 2
