"""A section in a real terminal before a real server: what the last row reads, one key for each action, and a program killed in a turn."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import servers
from block_reader import read_large
from section_stage import recorded_line
from tmux_terminal import Terminal, terminal

from trainer.library import resolve

ROPE = ("sectional", "Rope over the Sluice", "--voice", "alto", "--tempo", "400", "--bars", "5-6")
ALTO = 1


@pytest.fixture
def pulse(there: None) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield server


@pytest.fixture
def window(pulse: servers.Server, tmp_path: Path) -> Iterator[Terminal]:
    env = {**pulse.env, "HELDLINE_HOME": str(tmp_path / "home")}
    with terminal(tmp_path, env) as opened:
        yield opened


def large(window: Terminal, *words: str, seconds: float = 20) -> list[str]:
    """Wait until these lines of block letters stand on the screen; all that stand there."""
    seen: list[str] = []

    def there() -> bool:
        seen[:] = read_large(window.screen())
        return all(word in seen for word in words)

    window.until(there, f"large {words}, of {seen}", seconds)
    return seen


def test_a_section_led_by_keys_is_read_from_across_the_room_and_loses_nothing_when_killed(
    window: Terminal, pulse: servers.Server, tmp_path: Path
) -> None:
    sung = recorded_line(tmp_path, resolve(ROPE[1]), ALTO, (4, 7), 400)
    window.run(*ROPE, "--desks", "3")
    assert large(window, "SPACE") == ["BAR 4-6", "PRESS", "SPACE"]
    window.type("Space")
    assert large(window, "LISTEN") == ["BAR 4", "LISTEN"]
    window.type("t")  # one key: the round ends, and the desks begin
    large(window, "NEXT", "WREN", "SPACE")
    window.type("Space")
    words = large(window, "BAR 4", "WREN")
    assert words[1].startswith("BEAT ") or words[1].startswith("COUNT ")
    singer = pulse.begin("paplay", "--device=singer", "--latency-msec=20", sung)
    words = large(window, "BAR 6", "WREN")
    assert words[1].startswith("BEAT ")
    assert sum(len(line.split()) for line in words) <= 6
    large(window, "NEXT", "HERON", "SPACE")
    servers.end(singer)
    window.type("x")  # rather not
    large(window, "NEXT", "TEAL", "SPACE")
    window.type("Space")
    large(window, "BAR 5", "TEAL")
    time.sleep(0.6)
    os.kill(window.pid(), signal.SIGKILL)
    window.type("", "Enter")
    done = subprocess.run(
        [sys.executable, "-m", "trainer", *ROPE[:4], "--result", "--persons"],
        env={**pulse.env, "HELDLINE_HOME": str(tmp_path / "home")},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert "a take that was stopped is now take 2" in done.stderr
    assert "  wren:" in done.stdout
    assert "heron" not in done.stdout
    window.run(*ROPE)
    window.shows("The rehearsal goes on: 1 of 3 desks have sung.")
    assert large(window, "NEXT") == ["NEXT", "TEAL", "SPACE"]
    window.type("?")
    window.shows("rather not today: nothing is kept or told")
    window.type("q")
    assert window.status() in (0, 5)
    assert window.given_back()
