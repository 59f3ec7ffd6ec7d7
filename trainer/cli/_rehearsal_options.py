"""What can be asked of a rehearsal at the microphone, and what makes no sense there or beside recordings."""

from __future__ import annotations

import argparse

from trainer.cli._parser import Parser, UsageError

LIVE_ONLY = ("desks", "bars", "note", "offset", "compass", "count_in", "click", "input_device", "output_device")
SWITCHES = ("private", "anew", "list", "result", "no_log")


def add_live(parser: Parser) -> None:
    """Options of a rehearsal at the microphone."""
    group = parser.add_argument_group("at the microphone, without --input and --crowd")
    group.add_argument(
        "--desks", metavar="N|LABEL,...", help="who sings one after another (bird words; asked for when it is time)"
    )
    group.add_argument(
        "--private", action="store_true", help="after a turn the singer sees the own bars (nobody's are shown)"
    )
    group.add_argument(
        "--bars",
        metavar="A-B|MARK",
        help="rehearse these first; the copies' numbers, as in 6-9 or 6 (2nd) where there are two, or a mark",
    )
    group.add_argument(
        "--note", action="append", default=[], metavar="BAR=TEXT", help="your own note on a bar, kept with the music"
    )
    group.add_argument(
        "--offset", type=_offset, metavar="N", help="what your copies count more than the file; said once, kept"
    )
    group.add_argument(
        "--compass", metavar="LOW-HIGH", help="what this section sings, such as G3-C5 (those usual for the voice)"
    )
    group.add_argument("--anew", action="store_true", help="begin anew, whatever was rehearsed before")
    group.add_argument("--list", action="store_true", help="list the bars to rehearse, and why; sing nothing")
    group.add_argument("--result", action="store_true", help="what the last rehearsal came to; sing nothing")
    group.add_argument("--count-in", type=int, metavar="BARS", help="bars counted before the music, 0 to 8 (1)")
    group.add_argument("--click", choices=("on", "off", "silent"), help="all through, counted in only, never (off)")
    group.add_argument("--input-device", "--microphone", metavar="NAME", help="the microphone, by name or a part of it")
    group.add_argument("--output-device", metavar="NAME", help="the loudspeaker or headphones")
    group.add_argument("--no-log", action="store_true", help="keep nothing once it is over")


def refuse_with_files(args: argparse.Namespace) -> None:
    """Options of the microphone make no sense beside recordings. Raises UsageError."""
    given = [name for name in LIVE_ONLY if getattr(args, name) not in (None, [])]
    given += [name for name in SWITCHES if getattr(args, name)]
    if given:
        option = "--" + given[0].replace("_", "-")
        raise UsageError(
            f"{option} is for a rehearsal at the microphone", option, "leave it, or --input and --crowd, out"
        )


def refuse_without_files(args: argparse.Namespace) -> None:
    """Options of recordings make no sense at the microphone. Raises UsageError."""
    for option, given in (("--starts-at", args.starts_at), ("--time", args.time)):
        if given is not None:
            raise UsageError(f"{option} is for recordings", option, "leave it out, or name recordings with --input")


def _offset(text: str) -> int:
    return _whole(text, 10_000)


def _whole(text: str, most: int) -> int:
    digits = text.lstrip("+-")
    if not digits.isdecimal() or len(text) - len(digits) > 1 or int(digits) > most:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from -{most} to {most}")
    return int(text)
