"""``heldline trace``: the pitch line of any recording."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from typing import Any

from trainer.cli import _options
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline trace take.wav
heldline trace take.wav --csv > line.csv
heldline trace hum.flac --voice bass --json"""

SEARCH_HZ = {
    "soprano": (175.0, 1400.0),
    "alto": (117.0, 880.0),
    "tenor": (87.0, 660.0),
    "bass": (55.0, 500.0),
}
"""A fifth beyond each part's usual written compass (C4-A5, G3-D5, C3-G4, E2-D4: common practice, no source), a little rounded
outwards."""

COLUMNS = ("time_s", "f0_hz", "voiced", "confidence", "level_dbfs")


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "trace", says="draw the pitch line of any recording", examples=EXAMPLES)
    parser.add_argument("file", metavar="FILE", help="a recording")
    parser.add_argument("--csv", action="store_true", help=f"one row a hop: {', '.join(COLUMNS)}")
    parser.add_argument("--voice", metavar="VOICE", choices=sorted(SEARCH_HZ), help="look where this voice sings")
    parser.add_argument("--lowest", type=_options.decimal, metavar="HZ", help="lowest pitch to look for")
    parser.add_argument("--highest", type=_options.decimal, metavar="HZ", help="highest pitch to look for")


def run(args: argparse.Namespace) -> int:
    """Print the line; 5 when nothing in it is voiced."""
    if args.csv and args.json:
        raise UsageError("--csv and --json cannot be had at once", "heldline trace", "choose one of them")
    from trainer.takes.recording import heard_in

    heard = heard_in(args.file, search_hz=_search(args))
    if args.csv:
        return _print_csv(heard)
    from trainer.reports import pitch_line

    frames, gaps = pitch_line.parted(heard)
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(pitch_line.to_json(frames, gaps)))
    else:
        print(pitch_line.as_lines(frames))
    return 0 if any(frame.voiced for frame in frames) else 5


def _print_csv(heard: Iterable[Any]) -> int:
    from audio.heard import PitchFrame
    from trainer.reports.pitch_line import row

    any_voiced = False
    print(",".join(COLUMNS))
    for record in heard:
        if isinstance(record, PitchFrame):
            any_voiced |= record.voiced
            print(",".join(repr(value) for value in row(record).values()))
    return 0 if any_voiced else 5


def _search(args: argparse.Namespace) -> tuple[float, float] | None:
    if args.voice is not None:
        if args.lowest is not None or args.highest is not None:
            raise UsageError("--voice says where to look already", "--voice", "leave --lowest and --highest out")
        return SEARCH_HZ[args.voice]
    if args.lowest is None and args.highest is None:
        return None
    lowest, highest = float(args.lowest or 55), float(args.highest or 1400)
    if not 40 <= lowest < highest <= 4000:
        raise UsageError(
            f"from {lowest:g} to {highest:g} Hz is not a range to look in",
            "--lowest, --highest",
            "give the lower first, from 40 to 4000",
        )
    return lowest, highest
