"""``sing --turns``: bars are heard, then sung while nothing sounds; how that is asked for and shown."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import _options
from trainer.cli._parser import UsageError

if TYPE_CHECKING:
    from trainer.live.wish import Came, Wish
    from trainer.log.devices import MeasuredPair
    from trainer.practice.take import Performance


SOUNDS_BACK = (
    "soundcheck heard our own voices in this microphone: put headphones on, or take turns with heldline sing --turns."
)


def add_turns(group: argparse._ActionsContainer) -> None:
    """--turns."""
    group.add_argument(
        "--turns",
        nargs="?",
        type=_options.whole,
        const=4,
        metavar="BARS",
        help="without headphones: hear so many bars, then sing them while nothing sounds (4)",
    )


def asked(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* in turns of so many bars. Raises UsageError for what turns decide themselves."""
    from trainer.live.turns import MOST_BARS

    deciding = (("--loop", args.loop), ("--silent", args.silent), ("--guide", args.guide), ("--lead", args.lead))
    for option, given in deciding:
        if given:
            raise UsageError(f"turns leave no room for {option}", "--turns", "keep one of the two")
    if not 1 <= args.turns <= MOST_BARS:
        raise UsageError(f"turns of {args.turns} bars are not possible", "--turns", f"give 1 to {MOST_BARS}")
    return in_turns(wish, args.turns)


def in_turns(wish: Wish, bars: int) -> Wish:
    """*wish* with so many bars at a time heard and then sung, nothing sounding beside the singer."""
    from trainer.live.turns import TurnsCourse, stretches

    course = TurnsCourse(stretches(wish.score, wish.bars, bars), len(wish.score.lines), wish.score.bars())
    return replace(wish, course=course, settings=replace(wish.settings, alone=True))


def advised(wish: Wish, pair: MeasuredPair | None) -> Wish:
    """*wish* with a word on what else can be done where soundcheck heard our voices and could not learn how they get there."""
    from trainer.live.turns import TurnsCourse

    heard = pair is not None and pair.bleed_db is not None and pair.room is None
    if not heard or wish.desk.sounding == "silent" or isinstance(wish.course, TurnsCourse):
        return wish
    return replace(wish, notice=" ".join(told for told in (wish.notice, SOUNDS_BACK) if told))


def to_show(wish: Wish, came: Came) -> Performance:
    """The last take; of a line sung in turns all of them, since each is some bars of the whole."""
    from trainer.live.turns import TurnsCourse
    from trainer.practice.take import Performance

    if not isinstance(wish.course, TurnsCourse):
        return came.performances[-1]
    return Performance(tuple(take for one in came.performances for take in one.takes))
