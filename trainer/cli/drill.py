"""``heldline drill``: some bars round and round, with a run-up bar, slower when it fails, until three takes running are clean."""

from __future__ import annotations

import argparse
import contextlib
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from trainer.cli import _live, _live_options, _options, _which
from trainer.cli._parser import UsageError, add_command
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.live.wish import Wish

EXAMPLES = """\
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 9-10
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 8-11 --last-first
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 8-9 --with alto
heldline drill --again"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "drill", says="practise some bars round and round, slower when they fail", examples=EXAMPLES
    )
    _live_options.add_practice(parser)
    group = parser.add_argument_group("how it is practised")
    group.add_argument("--with", dest="company", metavar="VOICE,...", help="only these voices sound (all others)")
    group.add_argument("--last-first", action="store_true", help="the last bar first, then the one before it too")
    group.add_argument("--keep-tempo", action="store_true", help="never slower by itself")


def run(args: argparse.Namespace) -> int:
    """One session; 0, 5 when nothing was heard in its last take."""
    if args.loop:
        raise UsageError("a drill goes round by itself", "--loop", "leave it out")
    if args.company is not None and args.mute is not None:
        raise UsageError("--with and --mute say the same", "--with, --mute", "keep one of them")
    if not _which.is_named(args):
        raise UsageError("SCORE is missing", "heldline drill", "name the music, or take the last with --again")
    return _live.sing_live(args, lambda wish: drilled(args, wish))


def drilled(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* as a drill of its bars, the weakest one of the latest takes where none are named. Raises UsageError."""
    from trainer.drill.rounds import Drill, stages
    from trainer.live.courses import DrillCourse

    score, names = wish.score, wish.score.voice_names()
    bars = wish.bars or _weakest(wish)
    if bars is None:
        raise UsageError("which bars?", "--bars", "name them, as in --bars 9-10; no bar is known to be weak yet")
    desk = wish.desk
    if args.company is not None:
        sounding = {_options.voice_index(score, name, "--with") for name in args.company.split(",")}
        desk = replace(desk, muted=frozenset(range(len(score.lines))) - sounding - {wish.line_index})
    order = "last first" if args.last_first else "forward"
    rounds = stages(*bars, earliest=score.bars().bars[0].number, order=order)
    qpm = wish.settings.tempo_qpm or score.tempo.points[0][1]
    course = DrillCourse(
        Drill(rounds, steps="kept" if args.keep_tempo else "slower"),
        qpm,
        score.bars(),
        {name: f"heldline drill with --with {name} alone" for name in names},
    )
    return replace(wish, desk=desk, bars=None, course=course)


def _weakest(wish: Wish) -> tuple[int, int] | None:
    """The bar that failed worst in the latest kept takes; None where none did, or none can be read."""
    from trainer.cli._history import opened_history
    from trainer.takes.plans import now, weakest_bar

    with contextlib.suppress(HeldlineError), opened_history() as store:
        bar = None if store is None else weakest_bar(store, wish.score, wish.line_index, now())
        return None if bar is None else (bar, bar)
    return None
