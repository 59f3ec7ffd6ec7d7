"""The options of a live take, and which of them make no sense beside a recording."""

from __future__ import annotations

import argparse

from trainer.cli import _options, _which
from trainer.cli._parser import Parser, UsageError


def add_practice(parser: Parser) -> None:
    """Everything that a command has which practises a line in front of the microphone: what, by what, how, and what is kept."""
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="soprano, alto, tenor, bass, a number from the top, or a part")
    parser.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")
    _which.add_fresh(parser)
    _which.add_again(parser)
    _which.add_moved(parser)
    _options.add_judging(parser)
    add_live(parser)
    _options.add_keeping(parser)


def add_live(parser: Parser) -> argparse._ArgumentGroup:
    """Options of a take in front of the microphone."""
    add_sounding(parser)
    group = parser.add_argument_group("in front of the microphone")
    group.add_argument("--guide", choices=("full", "entries", "off"), help="the own line sounded along (off)")
    group.add_argument(
        "--lead",
        choices=("click", "singer"),
        help="who has the tempo: the click, or the singer: the others yield to each entry, wait where nothing is sung, "
        "and nothing is late or early (click)",
    )
    group.add_argument("--own-octave", type=int, metavar="N", help="octaves of your voice above the written line (0)")
    group.add_argument("--input-device", "--microphone", metavar="NAME", help="the microphone, by name or a part of it")
    return group


def add_sounding(parser: Parser) -> None:
    """Options of any live take: what sounds, what is shown before, which bars."""
    group = parser.add_argument_group("live")
    group.add_argument("--click", choices=("on", "off", "silent"), help="all through, counted in only, never (off)")
    group.add_argument("--count-in", type=int, metavar="BARS", help="bars counted before the music, 0 to 8 (1)")
    group.add_argument("--ear", choices=("both", "left", "right"), help="everything in one ear (both)")
    group.add_argument("--stand", metavar="VOICE", help="stand next to this voice: it is louder")
    group.add_argument("--mute", metavar="VOICE,...", help="voices that do not sound")
    group.add_argument("--silent", action="store_true", help="no sound at all; the pulse is on the screen")
    group.add_argument("--bars", metavar="A-B", help="only these bars")
    group.add_argument("--loop", action="store_true", help="round and round, from the bar before --bars")
    group.add_argument("--look-through", type=int, metavar="S", help="seconds to read before the count (30)")
    _options.add_names(group, "degrees")
    group.add_argument(
        "--show",
        choices=("beats", "end", "none"),
        help="each beat as it ends (beats), the take at its end, only when asked",
    )
    group.add_argument("--output-device", metavar="NAME", help="the loudspeaker or headphones")


LIVE_ONLY = (
    ("guide", None),
    ("lead", None),
    ("click", None),
    ("count_in", None),
    ("ear", None),
    ("stand", None),
    ("mute", None),
    ("silent", False),
    ("bars", None),
    ("loop", False),
    ("look_through", None),
    ("show", None),
    ("own_octave", None),
    ("input_device", None),
    ("output_device", None),
    ("keys", None),
    ("degrees", False),
    ("own_sound", None),
    ("synth", None),
    ("turns", None),
)


def refuse_with_a_file(args: argparse.Namespace) -> None:
    """Options of the microphone make no sense beside a recording. Raises UsageError."""
    for name, nothing in LIVE_ONLY:
        if getattr(args, name, nothing) != nothing:
            option = "--" + name.replace("_", "-")
            raise UsageError(f"{option} is for a live take", "--input", "leave one of the two out")
