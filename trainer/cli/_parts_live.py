"""``sing --lines`` at microphones: several singers, one to a part, judged live side by side."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import _live, _parts
from trainer.cli._parser import UsageError

if TYPE_CHECKING:
    from trainer.live.wish import Wish

FOR_ONE_SINGER = (
    ("lead", None),
    ("guide", None),
    ("own_octave", None),
    ("stand", None),
    ("loop", False),
    ("turns", None),
)


def sing_together(args: argparse.Namespace) -> int:
    """One session of several singers; 0, 5 when nobody was heard, 130 when it was stopped."""
    from trainer.cli._take import kept
    from trainer.live.performers.several import SeveralSingers
    from trainer.places import places
    from trainer.ui.parts_lines import PartsLines

    for name, nothing in FOR_ONE_SINGER:
        if getattr(args, name) != nothing:
            option = "--" + name.replace("_", "-")
            raise UsageError(f"{option} is for one singer", option, "leave it out beside --lines")
    wanted = _parts.wanted_lines(args)
    first = argparse.Namespace(**{**vars(args), "voice": wanted[0].voice})
    wish = _live.wish_of(first)
    lines = _lines(wish, wanted)
    # no line that is sung sounds
    desk = replace(wish.desk, muted=wish.desk.muted | set(lines[1:]))
    wish = replace(wish, desk=desk, look_through_seconds=wish.look_through_seconds or 0)
    channels, names = [f"mic{one.channel}" for one in wanted], wish.score.voice_names()
    with _live.opened(args, wish, microphones=max(one.channel or 0 for one in wanted)) as link:
        singers = SeveralSingers(link, lines, channels, [names[line] for line in lines])
        stored = places() if kept(args) else None
        made = _live.session_of(link, wish, _live.delay_of(link), stored, singers)
        came = _live.run_session(args, made, in_lines=PartsLines)
    return _live.ended(args, wish, came)


def _lines(wish: Wish, wanted: list[_parts.Wanted]) -> tuple[int, ...]:
    """Their places in the score. Raises UsageError for a voice that has nothing to sing."""
    lines = _parts.lines_of(wish.score, wanted)
    for line, one in zip(lines, wanted, strict=True):
        if not wish.score.lines[line].notes:
            raise UsageError(f"{one.voice} has no notes to sing", "--lines", "leave this voice out")
    return lines
