"""``heldline key``: a take on the keys, live or from a MIDI file. Note and time; a keyboard cannot be out of tune."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli import _keyed, _live_options, _options, _which
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline key "Kettle before Dawn" --voice alto
heldline key "Kettle before Dawn" --voice alto --degrees
heldline key --fresh --level 4
heldline key "Kettle before Dawn" --voice alto --input take.mid
heldline key exercise.krn --voice bass --input take.mid --starts-at 4.0 --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "key", says="play one voice of a score on the keys and be told note and time", examples=EXAMPLES
    )
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", metavar="VOICE", help="soprano, alto, tenor, bass, a number from the top, or a part")
    parser.add_argument("--input", metavar="FILE.mid", help="a MIDI file in place of the keys")
    parser.add_argument("--track", metavar="TRACK", help="this track of the file alone, by number from 1 or by name")
    _which.add_fresh(parser)
    _which.add_again(parser)
    _which.add_moved(parser)
    _options.add_time(parser)
    _options.add_octave(parser.add_argument_group("what it is judged by"))
    _keyed.add_keys(parser)
    _live_options.add_sounding(parser)
    _options.add_keeping(parser)


def run(args: argparse.Namespace) -> int:
    """Judge, show, keep; 5 when no key was pressed."""
    if args.input is None:
        for option, given in (("--starts-at", args.starts_at), ("--track", args.track)):
            if given is not None:
                raise UsageError(f"{option} is for a MIDI file", option, "leave it out, or give the file with --input")
        return _keyed.key_live(args)
    _live_options.refuse_with_a_file(args)
    from trainer.cli._take import show_attempt
    from trainer.takes.keys import keys_in

    settings = _options.settings_from(args)
    score = _which.music(args)
    if args.voice is None:
        raise UsageError("--voice is missing", "heldline key", "name the voice that was played, as in --voice alto")
    lines = (_options.voice_index(score, args.voice),)
    _options.refuse_silent(score, lines)
    heard = keys_in(args.input, track=args.track)
    return show_attempt(args, score, lines, heard, settings=settings, source="keyed", recordings=[args.input])
