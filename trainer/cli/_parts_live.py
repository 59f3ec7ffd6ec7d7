"""``sing --lines`` at microphones: several singers, one to a part, judged live side by side."""

from __future__ import annotations

import argparse
import time
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import _live, _parts
from trainer.cli._parser import UsageError
from trainer.score.change import cut

if TYPE_CHECKING:
    from trainer.live.parts import PartsWish
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
    from trainer.cli._take import kept, tell
    from trainer.live.parts import PartsSession
    from trainer.places import places
    from trainer.ui.parts_lines import PartsLines

    for name, nothing in FOR_ONE_SINGER:
        if getattr(args, name) != nothing:
            option = "--" + name.replace("_", "-")
            raise UsageError(f"{option} is for one singer", option, "leave it out beside --lines")
    wanted = _parts.wanted_lines(args)
    first = argparse.Namespace(**{**vars(args), "voice": wanted[0].voice})
    wish = _live.wish_of(first)
    parts = _parts_wish(wish, wanted)
    microphones = max(one.channel or 0 for one in wanted)
    with _live.opened(args, wish, microphones=microphones) as link:
        came = _live.run_session(
            args,
            lambda face: PartsSession(
                link,
                parts,
                _live.delay_of(link),
                face,
                wait=time.sleep,
                places=places() if kept(args) else None,
                tell=tell,
            ),
            in_lines=PartsLines,
        )
    return _live.ended(args, wish, came)


def _parts_wish(wish: Wish, wanted: list[_parts.Wanted]) -> PartsWish:
    """What one singer would ask for, asked for by several: no line that is sung sounds."""
    from trainer.live.parts import PartsWish

    lines = _parts.lines_of(wish.score, wanted)
    for line, one in zip(lines, wanted, strict=True):
        if not wish.score.lines[line].notes:
            raise UsageError(f"{one.voice} has no notes to sing", "--lines", "leave this voice out")
    return PartsWish(
        wish.score if wish.bars is None else cut(wish.score, *wish.bars),
        lines,
        tuple(f"mic{one.channel}" for one in wanted),
        wish.settings,
        replace(wish.desk, muted=wish.desk.muted | set(lines[1:])),
        wish.look_through_seconds or 0,
        wish.count_in_bars,
        wish.rounds,
        wish.keep_sound,
    )
