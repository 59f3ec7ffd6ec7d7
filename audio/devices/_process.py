"""A child Python for one piece of hardware: asked in one line of JSON, answers in one line, and may be killed at any moment."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

_START = "import sys; sys.path[:0] = [{root!r}]; from audio.devices.{module} import main; main()"

NOTHING_SAID = "nothing said"


class Child:
    """A running child.

    Parameters
    ----------
    module : str
        The module of this package whose ``main`` it runs.
    order : mapping
        Its line of JSON.
    inherited : tuple of int
        File handles that it gets with the same numbers.
    """

    def __init__(self, module: str, order: dict[str, Any], inherited: tuple[int, ...] = ()) -> None:
        root = str(Path(__file__).resolve().parents[2])
        # one thread for sums is enough for a copy, and more of them are started for nothing
        env = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(  # noqa: S603 - our own interpreter and module
            [sys.executable, "-c", _START.format(root=root, module=module)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,  # ALSA and JACK write to it from C and would spoil the screen
            env=env,
            pass_fds=inherited,
            start_new_session=True,  # the terminal's own Ctrl-C and hang-up are the parent's to answer
        )
        self.say(json.dumps(order))

    def say(self, line: str) -> bool:
        """Send one line; False when nobody is there to read it."""
        try:
            self.process.stdin.write(line.encode() + b"\n")  # type: ignore[union-attr]
            self.process.stdin.flush()  # type: ignore[union-attr]
        except (OSError, ValueError):
            return False
        return True

    def answer(self, seconds: float) -> dict[str, Any]:
        """Its next line of JSON; a table with "trouble" when none comes in time or it has ended."""
        lines: list[bytes] = []
        reader = threading.Thread(target=lambda: lines.append(self._line()), daemon=True)
        reader.start()
        reader.join(seconds)
        if reader.is_alive():
            self.process.kill()
            reader.join(1)
            return {"trouble": "refused", "says": f"it gave no answer within {seconds:.0f} s"}
        with contextlib.suppress(ValueError, IndexError):
            told: dict[str, Any] = json.loads(lines[0])
            return told
        return {"trouble": NOTHING_SAID, "says": "its process ended before it began"}

    @property
    def ended(self) -> bool:
        """Whether it is gone."""
        return self.process.poll() is not None

    def last_words(self) -> str:
        """What an ended child said of its end, "" for nothing."""
        if not self.ended:
            return ""
        told = self.answer(1.0)
        return "" if told.get("trouble") == NOTHING_SAID else str(told.get("says", ""))

    def leave(self, seconds: float) -> None:
        """Ask it to go, wait so long, then make it."""
        with contextlib.suppress(OSError, ValueError):
            self.process.stdin.close()  # type: ignore[union-attr]
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(seconds)
        self.kill()

    def kill(self) -> None:
        """Gone at once; may be called twice."""
        self.process.kill()
        self.process.wait()
        for pipe in (self.process.stdin, self.process.stdout):
            with contextlib.suppress(OSError, AttributeError):
                pipe.close()  # type: ignore[union-attr]

    def _line(self) -> bytes:
        line: bytes = self.process.stdout.readline()  # type: ignore[union-attr]
        return line
