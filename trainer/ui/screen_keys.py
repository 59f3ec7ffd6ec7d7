"""The keys of a singer at the machine: what the last line of the screen says of them, and all of them in words."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.live.state import State
from trainer.ui import parts

KEYS = {
    "tuning note": (("space", "begin"), ("?", "keys"), ("q", "quit")),
    "look-through": (
        ("space", "begin"),
        ("n", "note"),
        ("o", "octave"),
        ("g", "guide"),
        ("m", "mute"),
        ("b", "bars"),
        ("t", "tempo"),
        ("?", "keys"),
        ("q", "quit"),
    ),
    "listening": (("space", "sing now"), ("n", "note"), ("?", "keys"), ("q", "quit")),
    "count-in": (("space", "start over"), ("n", "note"), ("c", "click"), ("?", "keys"), ("q", "quit")),
    "singing": (
        ("space", "stop"),
        ("p", "pause"),
        ("r", "again"),
        ("c", "click"),
        ("g", "guide"),
        ("m", "mute"),
        ("q", "quit"),
    ),
    "waiting": (("space", "count and go on"), ("r", "again"), ("q", "quit")),
    "pause": (("space", "go on"), ("r", "again"), ("q", "quit")),
    "done": (
        ("space", "again"),
        ("w", "why"),
        ("l", "listen"),
        ("n", "note"),
        ("b", "bars"),
        ("t", "tempo"),
        ("g", "guide"),
        ("m", "mute"),
        ("?", "keys"),
        ("q", "quit"),
    ),
}
ALL_KEYS = (
    ("space", "start; stop and see what it came to"),
    ("p", "pause, and go on"),
    ("r", "again from the start; nothing of this take is kept"),
    ("n", "your own first note"),
    ("o", "the first note in another octave"),
    ("c", "click: all through, counted in only, never"),
    ("g", "guide, your own line: full, entries, off"),
    ("m", "mute one other voice after another"),
    ("b", "which bars"),
    ("t", "tempo; - slower and + faster while it sounds"),
    ("w", "why: the numbers behind one beat"),
    ("l", "listen: your worst bar, the right one, both"),
    ("< >", "down or up a rung; bars before or after in a drill"),
    ("v", "the rest of what is longer than the screen"),
    ("q", "leave; Ctrl-C ends a take and keeps it"),
)


def keys_now(state: State) -> Sequence[tuple[str, str]]:
    """Those that do something now."""
    return (parts.KEYS if state.lines else KEYS).get(state.phase, (("q", "quit"),))


def keys_line(keys: Sequence[tuple[str, str]], width: int) -> str:
    """As many keys as fit; help and quitting are never the ones left out."""
    told = [f"{key} {says}" for key, says in keys]
    always = [part for part in told if part[:2] in ("? ", "q ")]
    room = width + 3 - sum(len(part) + 3 for part in always)
    found: list[str] = []
    for part in told:
        if part not in always and len(part) + 3 <= room:
            found.append(part)
            room -= len(part) + 3
    return "   ".join([*found, *always])[:width]
