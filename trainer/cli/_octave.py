"""The singer's own octave from one evening to the next: what was sung last is where the first note is given, and that is said."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.errors import HeldlineError
from trainer.log.singer import SingerMemory
from trainer.places import places

if TYPE_CHECKING:
    from trainer.live.wish import Came, Wish

WHERE = {
    -2: "two octaves lower than written",
    -1: "an octave lower than written",
    1: "an octave higher than written",
    2: "two octaves higher than written",
}


def as_last_sung(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* in the octave in which its part was sung last, unless ``--own-octave`` says another."""
    from trainer.cli._take import kept

    if args.own_octave is not None or not kept(args):
        return wish
    octaves = SingerMemory(places().singer).octaves(_part(wish))
    if octaves == 0:
        return wish
    says = f"Your first note is given {WHERE[octaves]}, as you sang {_part(wish)} last; --own-octave 0 gives it as written."
    return replace(wish, octaves=octaves, notice=says)


def remember(args: argparse.Namespace, wish: Wish, came: Came) -> None:
    """Keep the octave of the session's last take for the next one."""
    from trainer.cli._take import kept, tell

    if not came.performances or not kept(args):
        return
    try:
        SingerMemory(places().singer).sang(_part(wish), came.octaves)
    except HeldlineError as err:
        tell(str(err))


def _part(wish: Wish) -> str:
    return wish.score.voice_names()[wish.line_index].lower()
