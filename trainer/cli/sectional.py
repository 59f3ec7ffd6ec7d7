"""``heldline sectional``: a section's recordings, one singer after another or all at one microphone, told by bar and cause."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from trainer.cli import _options
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from trainer.judge.crowd import CrowdTake
    from trainer.judge.section import Desk, Section
    from trainer.practice.settings import Settings
    from trainer.score.model import Score

EXAMPLES = """\
heldline sectional "Rope over the Sluice" --voice alto --input wren=1.wav,heron=2.wav,teal=3.wav
heldline sectional "Rope over the Sluice" --voice alto --input 1.wav,2.wav,3.wav --starts-at 2.5 --json
heldline sectional "Rope over the Sluice" --voice alto --input wren=1.wav,heron=2.wav --persons
heldline sectional "Rope over the Sluice" --voice alto --crowd all.wav --tempo 60"""

BIRDS = (
    "wren",
    "heron",
    "teal",
    "dunlin",
    "avocet",
    "curlew",
    "plover",
    "godwit",
    "linnet",
    "siskin",
    "knot",
    "rail",
    "snipe",
    "smew",
    "whinchat",
    "garganey",
)
"""Labels for desks that were given none: words, never names."""

NOTHING_HEARD, UNREADABLE = 5, 4


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "sectional", says="tell by bar and cause what a section held of its line", examples=EXAMPLES
    )
    parser.add_argument("score", metavar="SCORE", help="a title or number of the library, or a score file")
    parser.add_argument("--voice", required=True, metavar="VOICE", help="whose line they sang")
    parser.add_argument(
        "--input",
        action="append",
        default=[],
        metavar="LABEL=FILE,...",
        help="a recording a singer; the label may be left out, and the option given again",
    )
    parser.add_argument("--crowd", metavar="FILE", help="all of them at one microphone, nothing else sounding")
    parser.add_argument("--persons", action="store_true", help="each label with its bars, for the leader only")
    _options.add_time(parser)
    parser.add_argument("--time", choices=("fixed", "free"), help="to our click (fixed), or made without it (free)")
    _options.add_judging(parser)


def run(args: argparse.Namespace) -> int:
    """Judge every desk and the crowd, tell the section; nothing is kept. 4 when a recording could not be read, 5 when nobody was heard."""
    from trainer.library import resolve

    if not args.input and args.crowd is None:
        raise UsageError("no recording is named", "heldline sectional", "give --input LABEL=FILE,... or --crowd FILE")
    if args.crowd is not None and args.time == "free":
        raise UsageError("a crowd is heard to our click only", "--time free", "leave --time away and give --starts-at")
    settings, score = _options.settings_from(args), resolve(args.score)
    line, wanted = _options.voice_index(score, args.voice), desks_named(args.input)
    crowd = None
    if args.crowd is not None:
        from trainer.takes.crowd import crowd_in

        crowd = crowd_in(score, line, args.crowd, settings=settings)
    desks, refused = _desks(score, line, wanted, settings)
    if wanted and not desks:
        return UNREADABLE
    heard = crowd is not None and crowd.centre_cents is not None
    section = _section(score, line, desks)
    _print(args, section, crowd)
    if refused:
        return UNREADABLE
    return 0 if heard or section.heard else NOTHING_HEARD


def _desks(score: Score, line: int, wanted: list[tuple[str, str]], settings: Settings) -> tuple[list[Desk], int]:
    """Every desk that could be read, and how many could not: one bad file never costs the others their turn."""
    from trainer.errors import HeldlineError

    desks, refused = [], 0
    for label, path in wanted:
        try:
            desks.append(_desk(score, line, label, path, settings))
        except HeldlineError as err:
            if len(wanted) == 1:
                raise
            refused += 1
            print(f"heldline: {label}: {err}", file=sys.stderr)
    return desks, refused


def _section(score: Score, line: int, desks: list[Desk]) -> Section:
    from trainer.judge.section import section_of

    return section_of(score.title, len(score.lines), score.voice_names()[line], line + 1, desks)


def _desk(score: Score, line: int, label: str, path: str, settings: Settings) -> Desk:
    from trainer.takes.desks import desk_of

    return desk_of(score, line, label, path, settings=settings)


def _print(args: argparse.Namespace, section: Section, crowd: CrowdTake | None) -> None:
    from trainer.reports import section as told

    if args.json:
        from trainer.reports.as_json import as_text

        table = told.section_to_json(section, persons=args.persons)
        print(as_text(table if crowd is None else table | told.crowd_to_json(crowd)))
        return
    from trainer.cli._take import look

    parts = [told.section_as_text(section, look(args), persons=args.persons)] if section.desks else []
    if crowd is not None:
        parts.append(told.crowd_as_text(crowd, look(args)))
    print("\n\n".join(parts))


def desks_named(words: list[str]) -> list[tuple[str, str]]:
    """Label and file of every desk. Raises UsageError for a label given twice."""
    parts = [part.strip() for word in words for part in word.split(",")]
    if not all(parts):
        raise UsageError("a file is missing", "--input", "as in wren=1.wav,heron=2.wav")
    found: list[tuple[str, str]] = []
    free = (bird for bird in BIRDS if not any(part.startswith(f"{bird}=") for part in parts))
    for number, part in enumerate(parts, start=1):
        label, sign, path = part.partition("=")
        if not sign:
            label, path = next(free, f"desk {number}"), part
        if not label or not path:
            raise UsageError(f"{part!r} is not a label and a file", "--input", "as in wren=1.wav,heron=2.wav")
        found.append((label, path))
    labels = [label for label, _ in found]
    twice = next((label for label in labels if labels.count(label) > 1), None)
    if twice is not None:
        raise UsageError(f"two desks are called {twice}", "--input", "give each desk a label of its own")
    return found
