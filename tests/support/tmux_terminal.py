"""A terminal that a program can be run in, typed to, resized, stopped and read: tmux with a plain shell."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

PROMPT = "ready$"
SHELL = "/bin/bash"


class Terminal:
    """One window of a tmux server of its own."""

    def __init__(self, socket: Path, env: Mapping[str, str]) -> None:
        self._socket, self._env = socket, dict(env)

    def tmux(self, *words: object) -> str:
        done = subprocess.run(
            ["tmux", "-S", str(self._socket), "-f", "/dev/null", *(str(word) for word in words)],
            env=self._env,
            capture_output=True,
            text=True,
            timeout=20,
            check=False,
        )
        return done.stdout

    def begin(self, columns: int, rows: int) -> None:
        shell = f"env PS1={shlex.quote(PROMPT)} {SHELL} --norc --noprofile --noediting -i"
        self.tmux("new-session", "-d", "-s", "s", "-x", columns, "-y", rows, shell)
        self.until(lambda: PROMPT in self.screen(), "a prompt")

    def run(self, *words: object) -> None:
        """Type a heldline command; its exit status is said afterwards."""
        command = " ".join(shlex.quote(str(word)) for word in (sys.executable, "-m", "trainer", *words))
        self.type(f"clear; {command}; echo status=$?=", "Enter")

    def type(self, *keys: str) -> None:
        """Keys as tmux names them; text as it is."""
        self.tmux("send-keys", "-t", "s", *keys)

    def screen(self) -> str:
        """What is seen now."""
        return self.tmux("capture-pane", "-p", "-t", "s")

    def resize(self, columns: int, rows: int) -> None:
        self.tmux("resize-window", "-t", "s", "-x", columns, "-y", rows)

    def modes(self) -> dict[str, str]:
        """Whether the alternate screen is on and the cursor shown."""
        alternate, cursor = self.tmux("display-message", "-p", "-t", "s", "#{alternate_on} #{cursor_flag}").split()
        return {"alternate": alternate, "cursor": cursor}

    def line_modes(self) -> str:
        """What the shell's own terminal settings are."""
        tty = self.tmux("display-message", "-p", "-t", "s", "#{pane_tty}").strip()
        return subprocess.run(["stty", "-a", "-F", tty], capture_output=True, text=True, check=True).stdout

    def pid(self) -> int:
        """The heldline that runs in it."""
        shell = int(self.tmux("display-message", "-p", "-t", "s", "#{pane_pid}"))
        listed = subprocess.run(
            ["pgrep", "-f", "-P", str(shell), "trainer"], capture_output=True, text=True, check=False
        )
        return int(listed.stdout.split()[0])

    def status(self, seconds: float = 20) -> int:
        """The exit status that the command came to."""
        found: list[str] = []

        def told() -> bool:
            found[:] = re.findall(r"status=(\d+)=", self.screen())
            return bool(found)

        self.until(told, "an exit status", seconds)
        return int(found[-1])

    def until(self, true, what: str, seconds: float = 20) -> None:
        """Wait until it is so; fail with what is seen."""
        until = time.monotonic() + seconds
        while not true():
            assert time.monotonic() < until, f"no {what} in {seconds} s; seen:\n{self.screen()}"
            time.sleep(0.05)

    def shows(self, text: str, seconds: float = 20) -> None:
        self.until(lambda: text in self.screen(), repr(text), seconds)

    def given_back(self) -> bool:
        """Usual screen, cursor shown, echo and lines as a shell without line editing has them."""
        lines = self.line_modes()
        modes = self.modes()
        usual = modes == {"alternate": "0", "cursor": "1"}
        return usual and " echo " in lines and "-icanon" not in lines


@contextmanager
def terminal(folder: Path, env: Mapping[str, str], *, columns: int = 80, rows: int = 24) -> Iterator[Terminal]:
    """A terminal of that size; gone at the end with whatever runs in it."""
    own = {**env, "TERM": "xterm-256color", "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8", "PATH": os.environ["PATH"]}
    window = Terminal(folder / "tmux", own)
    try:
        window.begin(columns, rows)
        yield window
    finally:
        window.tmux("kill-server")
