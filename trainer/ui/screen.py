"""A session on the screen: the view of a state, drawn at most ten times a second and only where it changed."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import replace
from io import StringIO

from rich.console import Console
from rich.text import Text

from trainer.live.state import State
from trainer.reports.look import Look
from trainer.score.naming import Names
from trainer.ui.far import far_view
from trainer.ui.keys import BY_KEY, Typed
from trainer.ui.terminal import Terminal
from trainer.ui.views import view

REDRAWS_A_SECOND = 10
LOOK_SECONDS = 1 / REDRAWS_A_SECOND
COLOURS = {"none": None, "sixteen": "standard", "full": "truecolor"}


class Screen:
    """A ``Face`` on a terminal that was taken.

    Parameters
    ----------
    terminal : Terminal
    look : Look
        Its width is taken anew from the terminal.
    names : Names
    now_seconds : callable
        A clock that never goes back.
    keys : mapping from key to command
    """

    def __init__(
        self,
        terminal: Terminal,
        look: Look,
        names: Names,
        now_seconds: Callable[[], float] = time.monotonic,
        keys: Mapping[str, str] = BY_KEY,
    ) -> None:
        self._terminal, self._look, self._names, self._now_seconds = terminal, look, names, now_seconds
        self._typed = Typed(terminal.typed, keys)
        self._shown: list[str] = []
        self._looked_at = -1.0
        self._drawn: deque[float] = deque(maxlen=REDRAWS_A_SECOND)
        self._news: tuple[object, ...] = ()
        self.redraws = 0

    def commands(self) -> list[str]:
        """As ``Face.commands``."""
        return self._typed.commands()

    def show(self, state: State) -> None:
        """Draw it: a new phase, sign or key at once, all else when a tenth of a second has passed; ten times in any second."""
        self._typed.asking, self._typed.leafing = bool(state.asked), bool(state.help)
        now = self._now_seconds()
        news = (state.phase, len(state.beats), state.down, state.asked, state.notice, state.warning)
        if news[:1] == self._news[:1] and not self._terminal.changed:
            drawn_out = len(self._drawn) == REDRAWS_A_SECOND and now - self._drawn[0] < 1.0
            if drawn_out or (news == self._news and now - self._looked_at < LOOK_SECONDS):
                return
        self._looked_at, self._news = now, news
        columns, rows = self._terminal.size()
        look = replace(self._look, width=columns)
        if state.standing is not None:
            lines = far_view(state, look, rows, self._typed.answer)
        else:
            lines = view(state, look, rows, self._names, self._typed.answer)
        self._draw(lines, columns, rows)

    def _draw(self, lines: list[str], columns: int, rows: int) -> None:
        whole = self._terminal.changed
        self._terminal.changed = False
        out = ["\x1b[2J"] if whole else []
        padded = [*lines, *[""] * (rows - len(lines))][:rows]
        for row, line in enumerate(padded):
            if whole or row >= len(self._shown) or line != self._shown[row]:
                out.append(f"\x1b[{row + 1};1H\x1b[K{self._fitted(line, columns)}")
        self._shown = padded
        if out:
            self._terminal.write("".join(out))
            self._drawn.append(self._now_seconds())
            self.redraws += 1

    def _fitted(self, line: str, columns: int) -> str:
        """A line no wider than the screen, its colours kept."""
        text = Text.from_ansi(line)
        if text.cell_len <= columns:
            return line
        text.truncate(columns)
        console = Console(file=StringIO(), force_terminal=True, color_system=COLOURS[self._look.colours], width=columns)  # type: ignore[arg-type]
        with console.capture() as captured:
            console.print(text, end="", no_wrap=True, overflow="crop", highlight=False)
        return captured.get()
