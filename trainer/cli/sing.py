"""``heldline sing``: a take with the voice, in front of the microphone or from a recording."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli import _first, _live, _options, _played, _turns, _which
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline sing
heldline sing "Ferry Bell at Low Water" --voice tenor
heldline sing --fresh --level 4 --voice alto
heldline sing --again
heldline sing "Ferry Bell at Low Water" --voice tenor --input take.wav
heldline sing exercise.musicxml --voice 2 --input take.flac --starts-at 4.0 --tempo 72
heldline sing "Ferry Bell at Low Water" --voice tenor --input take.wav --played soprano,alto,bass
heldline sing "Kettle before Dawn" --lines alto=one.wav,tenor=two.wav --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "sing", says="sing one voice of a score and be told beat by beat what was held", examples=EXAMPLES
    )
    parser.add_argument(
        "score",
        nargs="?",
        metavar="SCORE",
        help="a title or number of the library, or a score file; nothing for a first try",
    )
    parser.add_argument("--voice", metavar="VOICE", help="soprano, alto, tenor, bass, a number from the top, or a part")
    parser.add_argument("--input", metavar="FILE", help="a recording in place of the microphone")
    parser.add_argument(
        "--lines", metavar="VOICE=FILE,...", help="several recordings of one performance, judged side by side"
    )
    _options.add_time(parser)
    parser.add_argument(
        "--time", choices=("fixed", "free"), help="to our click (fixed), or a recording made without it (free)"
    )
    _options.add_judging(parser)
    _which.add_fresh(parser)
    _which.add_again(parser)
    _which.add_moved(parser)
    _played.add_played(parser)
    _turns.add_turns(_live.add_live(parser))
    _options.add_keeping(parser)


def run(args: argparse.Namespace) -> int:
    """Judge, show, keep; 5 when nothing was heard."""
    _played.refuse_alone(args)
    if args.time == "free" and args.starts_at is not None:
        raise UsageError("free time finds the start itself", "--starts-at", "leave it out, or leave out --time free")
    if args.input is None and args.lines is None:
        if args.time == "free":
            raise UsageError(
                "free time is for a recording",
                "--time free",
                "give the file with --input, or let the others follow you: --lead singer",
            )
        if args.starts_at is not None:
            raise UsageError(
                "--starts-at is for a recording", "--starts-at", "leave it out, or give the file with --input"
            )
        return _live.sing_live(args) if _which.is_named(args) else _first.first_minute(args)
    _live.refuse_with_a_file(args)
    from trainer.cli._take import show_attempt

    settings = _options.settings_from(args)
    score = _which.music(args)
    wanted = _wanted(args)
    lines = tuple(_options.voice_index(score, voice) for voice, _ in wanted)
    if len(set(lines)) < len(lines):
        raise UsageError("one voice is named twice", "--lines", "name each voice once")
    paths = [path for _, path in wanted]
    if args.played is None:
        from trainer.takes.recording import heard_together

        return show_attempt(
            args, score, lines, heard_together(paths), settings=settings, source="sung", recordings=paths
        )
    beside = _played.Beside(args, score, lines, settings, paths)
    return show_attempt(
        args, score, lines, beside.heard(), settings=settings, source="sung", recordings=paths, besides=beside.said
    )


def _wanted(args: argparse.Namespace) -> list[tuple[str, str]]:
    """Voice and file of every line asked for."""
    if args.lines is None:
        if args.voice is None:
            raise UsageError("--voice is missing", "heldline sing", "name the voice that was sung, as in --voice tenor")
        return [(args.voice, args.input)]
    if args.input is not None or args.voice is not None:
        raise UsageError("--lines names its own voices and files", "--lines", "leave --voice and --input out")
    pairs = [part.partition("=") for part in args.lines.split(",")]
    if not all(voice and sign and path for voice, sign, path in pairs):
        raise UsageError(f"{args.lines!r} is not a list of voices and files", "--lines", "as in alto=a.wav,tenor=b.wav")
    if len(pairs) > 8:
        raise UsageError("more than eight lines cannot be judged at once", "--lines", "give up to eight")
    return [(voice, path) for voice, _, path in pairs]
