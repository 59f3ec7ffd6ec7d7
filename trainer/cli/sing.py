"""``heldline sing``: a take with the voice, in front of the microphone or from a recording."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from trainer.cli import _first, _live, _live_options, _options, _parts, _played, _turns, _which
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from audio.heard import Heard

EXAMPLES = """\
heldline sing
heldline sing "Ferry Bell at Low Water" --voice tenor
heldline sing --fresh --level 4 --voice alto
heldline sing --again
heldline sing "Ferry Bell at Low Water" --voice tenor --input take.wav
heldline sing exercise.musicxml --voice 2 --input take.flac --starts-at 4.0 --tempo 72
heldline sing "Ferry Bell at Low Water" --voice tenor --input take.wav --played soprano,alto,bass
heldline sing "Kettle before Dawn" --lines alto=one.wav,tenor=two.wav --json
heldline sing "Ferry Bell at Low Water" --lines soprano=1,alto=2,tenor=3,bass=4
heldline sing "Ferry Bell at Low Water" --lines soprano=1:1,alto=3:1
heldline sing "Ferry Bell at Low Water" --lines soprano=1,alto=2,tenor=3,bass=4 --input quartet.wav"""


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
        "--lines",
        metavar="VOICE=FILE|CHANNEL|MICROPHONE:CHANNEL,...",
        help="several singers side by side: a recording each, or a channel each of --input or of the microphone, or each "
        "a microphone of their own, by its number in soundcheck --list or by name",
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
    _turns.add_turns(_live_options.add_live(parser))
    _options.add_keeping(parser)


def run(args: argparse.Namespace) -> int:
    """Judge, show, keep; 5 when nothing was heard."""
    _played.refuse_alone(args)
    if args.time == "free" and args.starts_at is not None:
        raise UsageError("free time finds the start itself", "--starts-at", "leave it out, or leave out --time free")
    live = args.input is None and (args.lines is None or _parts.is_live(args))
    if live:
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
        if args.lines is not None:
            from trainer.cli._parts_live import sing_together

            return sing_together(args)
        return _live.sing_live(args) if _which.is_named(args) else _first.first_minute(args)
    _live_options.refuse_with_a_file(args)
    from trainer.cli._take import show_attempt

    settings = _options.settings_from(args)
    score = _which.music(args)
    wanted = _parts.wanted_lines(args)
    lines = _parts.lines_of(score, wanted)
    _options.refuse_silent(score, lines)
    paths = list(dict.fromkeys(str(one.path) for one in wanted))
    if args.played is not None:
        if len(paths) < len(wanted):
            raise UsageError("--played is for a recording a singer", "--played", "leave it out beside channels")
        beside = _played.Beside(args, score, lines, settings, paths)
        heard: Iterable[Heard] = beside.heard()
        said: Callable[[], Sequence[str]] | None = beside.said
    elif len(wanted) > 1:
        from trainer.takes.together import HeardTogether

        together = HeardTogether([(str(one.path), one.side) for one in wanted])
        heard, said = together.heard(), together.said
    else:
        from trainer.takes.recording import heard_in

        heard, said = heard_in(paths[0], side=wanted[0].side), None
    return show_attempt(args, score, lines, heard, settings=settings, source="sung", recordings=paths, besides=said)
