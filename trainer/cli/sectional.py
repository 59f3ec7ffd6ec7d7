"""``heldline sectional``: a section's recordings, one singer after another or all at one microphone, told by bar and cause."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from trainer.cli import _options, _which
from trainer.cli._parser import UsageError, add_command
from trainer.cli._rehearsal import rehearse
from trainer.cli._rehearsal_options import add_live, refuse_with_files, refuse_without_files
from trainer.section.labels import LabelTwice, birds, refuse_twice

if TYPE_CHECKING:
    from trainer.judge.crowd import CrowdTake
    from trainer.judge.divided import DividedTake
    from trainer.judge.section import Desk, Section
    from trainer.practice.settings import Settings
    from trainer.score.model import Score

EXAMPLES = """\
heldline sectional "Rope over the Sluice" --voice alto
heldline sectional "Rope over the Sluice" --voice alto --desks 7 --note "4=the soprano has your note before you"
heldline sectional "Rope over the Sluice" --voice alto --result --persons
heldline sectional "Rope over the Sluice" --voice alto --input wren=1.wav,heron=2.wav,teal=3.wav
heldline sectional "Rope over the Sluice" --voice alto --input 1.wav,2.wav,3.wav --starts-at 2.5 --json
heldline sectional "Rope over the Sluice" --voice alto --input wren=1.wav,heron=2.wav --persons
heldline sectional "Rope over the Sluice" --voice alto --crowd all.wav --tempo 60
heldline sectional divided.mxl --voice "alto 1" --divisi "alto 2" --crowd all.wav --tempo 60"""

NOTHING_HEARD, UNREADABLE = 5, 4


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "sectional",
        says="rehearse a section, and tell by bar and cause what it held of its line",
        examples=EXAMPLES,
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
    parser.add_argument(
        "--divisi", metavar="VOICE", help="with --crowd: the other line of a section that sings in two, upper and lower"
    )
    parser.add_argument("--persons", action="store_true", help="each label with its bars, for the leader only")
    _options.add_time(parser)
    parser.add_argument("--time", choices=("fixed", "free"), help="to our click (fixed), or made without it (free)")
    _options.add_judging(parser)
    _which.add_moved(parser)
    add_live(parser)


def run(args: argparse.Namespace) -> int:
    """A rehearsal at the microphone; or recordings judged and nothing kept. 4 when one could not be read, 5 when nobody was heard."""
    from trainer.library import resolve

    if args.divisi is not None and args.crowd is None:
        raise UsageError("two lines are heard at one microphone only", "--divisi", "name the recording with --crowd")
    if not args.input and args.crowd is None:
        refuse_without_files(args)
        return rehearse(args, _which.moved_as_asked(args, resolve(args.score)))
    refuse_with_files(args)
    if args.crowd is not None and args.time == "free":
        raise UsageError("a crowd is heard to our click only", "--time free", "leave --time away and give --starts-at")
    settings, score = _options.settings_from(args), _which.moved_as_asked(args, resolve(args.score))
    line, wanted = _options.voice_index(score, args.voice), desks_named(args.input)
    crowd, divided = _crowd(args, score, line, settings)
    desks, refused = _desks(score, line, wanted, settings)
    if wanted and not desks:
        return UNREADABLE
    halves = () if divided is None else (divided.upper, divided.lower)
    heard = (crowd is not None and crowd.centre_cents is not None) or any(half.sign == "heard" for half in halves)
    section = _section(score, line, desks)
    _print(args, section, crowd, divided)
    if refused:
        return UNREADABLE
    return 0 if heard or section.heard else NOTHING_HEARD


def _crowd(
    args: argparse.Namespace, score: Score, line: int, settings: Settings
) -> tuple[CrowdTake | None, DividedTake | None]:
    """All at one microphone, on one line or on two."""
    if args.crowd is None:
        return None, None
    from trainer.takes.crowd import crowd_in, divided_in

    if args.divisi is None:
        return crowd_in(score, line, args.crowd, settings=settings), None
    upper, lower = sorted((line, _options.voice_index(score, args.divisi, "--divisi")))
    if upper == lower:
        raise UsageError("that is the same line twice", "--divisi", "name the section's other line")
    return divided_in(score, upper, lower, args.crowd, settings=settings)


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


def _print(args: argparse.Namespace, section: Section, crowd: CrowdTake | None, divided: DividedTake | None) -> None:
    from trainer.reports import crowd as of_all
    from trainer.reports import section as told

    if args.json:
        from trainer.reports.as_json import as_text

        table = told.section_to_json(section, persons=args.persons)
        table |= {} if crowd is None else of_all.crowd_to_json(crowd)
        table |= {} if divided is None else of_all.divided_to_json(divided)
        print(as_text(table))
        return
    from trainer.cli._take import look
    from trainer.judge.remarks import RECORDING

    text = told.section_as_text(section, look(args), persons=args.persons, advice=RECORDING.misfit)
    parts = [text] if section.desks else []
    if crowd is not None:
        parts.append(of_all.crowd_as_text(crowd, look(args), divided))
    print("\n\n".join(parts))


def desks_named(words: list[str]) -> list[tuple[str, str]]:
    """Label and file of every desk. Raises UsageError for a label given twice."""
    parts = [part.strip() for word in words for part in word.split(",")]
    if not all(parts):
        raise UsageError("a file is missing", "--input", "as in wren=1.wav,heron=2.wav")
    found: list[tuple[str, str]] = []
    free = iter(birds(len(parts), [part.partition("=")[0] for part in parts if "=" in part]))
    for part in parts:
        label, sign, path = part.partition("=")
        if not sign:
            label, path = next(free), part
        if not label or not path:
            raise UsageError(f"{part!r} is not a label and a file", "--input", "as in wren=1.wav,heron=2.wav")
        found.append((label, path))
    try:
        refuse_twice([label for label, _ in found])
    except LabelTwice as err:
        raise UsageError(str(err), "--input", "give each desk a label of its own") from err
    return found
