"""The terminal itself: taken when the screen opens, given back whatever happens: an error, INT, TERM, HUP, TSTP, the end.

Only the main thread may use it. Given back means: echo and line mode as before, cursor shown, the screen before it back.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import select
import signal
import sys
from collections.abc import Callable, Iterator
from types import FrameType
from typing import Any, TextIO

ALTERNATE, USUAL = "\x1b[?1049h", "\x1b[?1049l"
HIDDEN, SHOWN = "\x1b[?25l", "\x1b[?25h"
PLAIN = "\x1b[0m"


class HungUp(BaseException):
    """The terminal was closed; not an Exception, so that nothing on the way swallows it."""


class Terminal:
    """A screen of its own and keys without Enter.

    Parameters
    ----------
    out : TextIO
    key_fd : int
        Where keys come from.
    """

    def __init__(self, out: TextIO | None = None, key_fd: int | None = None) -> None:
        self._out = out or sys.stdout
        self._key_fd = sys.stdin.fileno() if key_fd is None else key_fd
        self._before: list[Any] | None = None
        self.changed = True
        """Set when everything has to be drawn anew: at the start, after a stop, and when the size changed."""

    def take(self) -> None:
        """Alternate screen, no cursor, no echo, keys at once; signals still come."""
        if sys.platform != "win32":
            import termios
            import tty

            self._before = termios.tcgetattr(self._key_fd)
            atexit.register(self.give_back)
            tty.setcbreak(self._key_fd)
        self.write(ALTERNATE + HIDDEN)
        self.changed = True

    def give_back(self) -> None:
        """As it was. May be called twice, and never fails."""
        before, self._before = self._before, None
        if before is None:
            return
        with contextlib.suppress(OSError, ValueError):
            self.write(PLAIN + SHOWN + USUAL)
        if sys.platform != "win32":
            import termios

            with contextlib.suppress(OSError, termios.error):
                termios.tcsetattr(self._key_fd, termios.TCSADRAIN, before)
        atexit.unregister(self.give_back)

    def write(self, text: str) -> None:
        """Put *text* out at once. Raises HungUp when nobody is there."""
        try:
            self._out.write(text)
            self._out.flush()
        except OSError as err:
            raise HungUp from err

    def typed(self) -> bytes:
        """Keys that came since the last time."""
        try:
            if not select.select([self._key_fd], [], [], 0)[0]:
                return b""
            got = os.read(self._key_fd, 256)
        except OSError as err:
            raise HungUp from err
        if not got:
            raise HungUp
        return got

    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        try:
            found = os.get_terminal_size(self._out.fileno())
        except (OSError, ValueError):
            return 80, 24
        return max(1, found.columns), max(1, found.lines)

    @contextlib.contextmanager
    def open(self) -> Iterator[Terminal]:
        """Taken inside the ``with``, given back after it; HUP raises HungUp, TSTP gives it back until CONT."""
        before: dict[signal.Signals, Any] = {}

        def resized(_: int, __: FrameType | None) -> None:
            self.changed = True

        def closed(_: int, __: FrameType | None) -> None:
            raise HungUp

        handlers: tuple[tuple[str, Callable[[int, FrameType | None], None]], ...] = (
            ("SIGWINCH", resized),
            ("SIGHUP", closed),
            ("SIGTSTP", self._stopped),
        )
        for name, handler in handlers:
            if hasattr(signal, name):
                number = getattr(signal, name)
                before[number] = signal.signal(number, handler)
        try:
            self.take()
            yield self
        finally:
            for number, earlier in before.items():
                signal.signal(number, earlier)
            self.give_back()

    def _stopped(self, number: int, _: FrameType | None) -> None:
        """Ctrl-Z: the shell gets its screen; when it lets us go on, ours comes back."""
        self.give_back()
        signal.signal(number, signal.SIG_DFL)
        os.kill(os.getpid(), number)  # here we sleep until CONT
        signal.signal(number, self._stopped)
        self.take()
