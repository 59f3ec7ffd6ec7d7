"""``heldline drill``: some bars round and round, with a run-up bar, slower when it fails, until three takes running are clean."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from trainer.cli import _live, _options, _which
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from trainer.live.wish import Wish

EXAMPLES = """\
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 9-10
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 8-11 --last-first
heldline drill "Ferry Bell at Low Water" --voice tenor --bars 8-9 --with alto
heldline drill --again --bars 4"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "drill", says="practise some bars round and round, slower when they fail", examples=EXAMPLES
    )
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="soprano, alto, tenor, bass, a number from the top, or a part")
    group = parser.add_argument_group("how it is practised")
    group.add_argument("--with", dest="company", metavar="VOICE,...", help="only these voices sound (all others)")
    group.add_argument("--last-first", action="store_true", help="the last bar first, then the one before it too")
    group.add_argument("--keep-tempo", action="store_true", help="never slower by itself")
    parser.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")
    _which.add_fresh(parser)
    _which.add_again(parser)
    _options.add_judging(parser)
    _live.add_live(parser)
    _options.add_keeping(parser)


def run(args: argparse.Namespace) -> int:
    """One session; 0, 5 when nothing was heard in its last take."""
    if args.loop:
        raise UsageError("a drill goes round by itself", "--loop", "leave it out")
    if args.bars is None:
        raise UsageError("which bars?", "--bars", "name them, as in --bars 9-10; heldline plan knows the weak ones")
    if args.company is not None and args.mute is not None:
        raise UsageError("--with and --mute say the same", "--with, --mute", "keep one of them")
    if not _which.is_named(args):
        raise UsageError("SCORE is missing", "heldline drill", "name the music, or take the last with --again")
    return _live.sing_live(args, lambda wish: drilled(args, wish))


def drilled(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* as a drill of its bars. Raises UsageError."""
    from trainer.drill.rounds import Drill, stages
    from trainer.live.courses import DrillCourse

    score, names = wish.score, wish.score.voice_names()
    if wish.bars is None:
        raise UsageError("which bars?", "--bars", "name them, as in --bars 9-10")
    desk = wish.desk
    if args.company is not None:
        sounding = {_options.voice_index(score, name) for name in args.company.split(",")}
        desk = replace(desk, muted=frozenset(range(len(score.lines))) - sounding - {wish.line_index})
    order = "last first" if args.last_first else "forward"
    rounds = stages(*wish.bars, earliest=score.bars().bars[0].number, order=order)
    qpm = wish.settings.tempo_qpm or score.tempo.points[0][1]
    course = DrillCourse(
        Drill(rounds, steps="kept" if args.keep_tempo else "slower"),
        qpm,
        {name: f"heldline drill with --with {name} alone" for name in names},
    )
    return replace(wish, desk=desk, bars=None, course=course)
