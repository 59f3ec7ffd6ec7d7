"""``heldline hear``: the voices of a score sounded, through the loudspeaker or into a file."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli import _aloud, _before, _options, _which
from trainer.cli._fitted import SOFTLY, fitted
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline hear "Ferry Bell at Low Water" --only tenor
heldline hear "Ferry Bell at Low Water" --only tenor,alto --bars 8-10
heldline hear "Ferry Bell at Low Water" --without tenor --tempo 48 --count-in 1 -o three.wav
heldline hear "Ferry Bell at Low Water" --without tenor --key-chord --first-note tenor --click -o start.wav
heldline hear --fresh --level 5 --seed 12 -o new.wav"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "hear", says="sound any voices of a score", examples=EXAMPLES)
    parser.add_argument("score", nargs="?", metavar="SCORE", help="a title or number of the library, or a score file")
    _which.add_fresh(parser)
    _which.add_moved(parser)
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--only", metavar="VOICE,...", help="these voices alone")
    which.add_argument("--without", metavar="VOICE,...", help="all but these")
    parser.add_argument("--bars", metavar="A-B", help="only these bars")
    parser.add_argument("--tempo", type=_options.decimal, metavar="QPM", help="quarters a minute (the score's own)")
    parser.add_argument("--against", choices=("equal", "pure"), help="tuned equally, or purely above the lowest voice")
    parser.add_argument("--a", type=_options.decimal, metavar="HZ", help="pitch of A4, 392 to 466 (440)")
    parser.add_argument("--count-in", type=int, default=0, metavar="BARS", help="bars of clicks before the music (0)")
    parser.add_argument("--click", action="store_true", help="a click on every beat, never louder than the voices")
    parser.add_argument("--key-chord", action="store_true", help="the chord of the key before the music")
    parser.add_argument("--first-note", metavar="VOICE", help="then the first note of this voice")
    parser.add_argument(
        "--octave-shift",
        type=int,
        default=0,
        metavar="N",
        help="that first note N octaves higher, lower if negative (0)",
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE.wav",
        help=f"a file to write, .wav or .flac (the loudspeaker); {_before.HELP}",
    )
    parser.add_argument("--output-device", metavar="NAME", help=_aloud.OUTPUT_HELP)


def run(args: argparse.Namespace) -> int:
    """Sound the voices, or write the file and say what is in it."""
    if not -2 <= args.octave_shift <= 2:
        raise UsageError(f"{args.octave_shift} octaves are too far", "--octave-shift", "give -2 to 2")
    if not 0 <= args.count_in <= 8:
        raise UsageError(f"{args.count_in} bars of count-in are not possible", "--count-in", "give 0 to 8")
    from trainer.score.change import bar_one
    from trainer.score.moved import moved_words
    from trainer.voices.hear import hear_pieces, hear_to_file
    from trainer.voices.sounding import LeadIn

    settings = _options.settings_from(args)
    score = _options.cut_to(_which.music(args), args.bars)
    lines = _lines(score, args)
    first_note = None if args.first_note is None else _options.voice_index(score, args.first_note, "--first-note")
    lead_in = LeadIn(args.key_chord, first_note, args.octave_shift, args.count_in)
    click = "on" if args.click else "off"
    if args.output is None:
        return _sounded(args, hear_pieces(score, lines, settings=settings, lead_in=lead_in, click=click)[0])
    if args.output_device is not None:
        raise UsageError("a file needs no loudspeaker", "--output-device", "leave it out, or leave out -o")
    before = _before.Before()
    with before.kept(args.output):
        written = hear_to_file(score, lines, args.output, settings=settings, lead_in=lead_in, click=click)
    names = [score.voice_names()[line] for line in lines]
    if args.json:
        from trainer.reports.as_json import as_text

        print(
            as_text(
                {
                    "schema": "heldline.hear/1",
                    "file": args.output,
                    "voices": names,
                    "length_s": round(written.length_s, 3),
                    "starts_at_s": round(written.starts_at_s, 6),
                }
            )
        )
    elif not args.quiet:
        told = f"{args.output}: {', '.join(names)}, {written.length_s:.1f} s, {bar_one(score)} at {written.starts_at_s:g} s"
        print(fitted(told))
        if moved_words(score):
            print(f"Key: {moved_words(score, _options.names_from(args))}")
        print(fitted(SOFTLY))
    before.tell(args)
    return 0


def _sounded(args: argparse.Namespace, pieces: Any) -> int:
    """Through the loudspeaker."""
    if args.json:
        raise UsageError("--json tells of a file", "heldline hear", "name it with -o voices.wav")
    words = "Begin softly: as loud as quiet talk. Ctrl-C stops."
    _aloud.sound_aloud(pieces, args.output_device, "" if args.quiet else words)
    return 0


def _lines(score: Any, args: argparse.Namespace) -> tuple[int, ...]:
    every = range(len(score.lines))
    if args.only is not None:
        wanted = {_options.voice_index(score, name, "--only") for name in args.only.split(",")}
        return tuple(line for line in every if line in wanted)
    if args.without is not None:
        left_out = {_options.voice_index(score, name, "--without") for name in args.without.split(",")}
        kept = tuple(line for line in every if line not in left_out)
        if not kept:
            raise UsageError("no voice is left to sound", "--without", "leave one in")
        return kept
    return tuple(every)
