"""``heldline check``: is the exercise correct? Any score, or a folder of them, every fault named."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli._parser import UsageError, add_command, nearest
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.reports.checked import Checked
    from trainer.rules.ruleset import RuleSet
    from trainer.score.model import Score

EXAMPLES = """\
heldline check exercise.musicxml
heldline check exercise.musicxml --rules strict16 --mend
heldline check chorale.mxl --species free
heldline check homework/ --rules conservatoire --json
heldline check "Kettle before Dawn" --show
heldline check --list"""

SPECIES = ("1", "2", "3", "4", "5", "combined", "free")
WRONG, UNREADABLE = 1, 4


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "check", says="say whether an exercise is correct, and what a teacher would mark", examples=EXAMPLES
    )
    parser.add_argument(
        "scores", nargs="*", metavar="SCORE|FOLDER", help="titles, score files, or folders; with --json a line for each"
    )
    group = parser.add_argument_group("by which rules")
    group.add_argument(
        "--rules", metavar="NAME", help="strict16, conservatoire, tonal, or a file with lines of your own (the score's)"
    )
    group.add_argument(
        "--species", choices=SPECIES, help="of the moving voices; free turns the rules of species and cadence off"
    )
    shown = parser.add_argument_group("what is told")
    shown.add_argument("--list", action="store_true", help="list every rule and how grave each rule set takes it")
    shown.add_argument("--show", action="store_true", help="the score with figures under it and its dissonances named")
    shown.add_argument("--mend", action="store_true", help="the single notes that would mend each forbidden fault")


def run(args: argparse.Namespace) -> int:
    """1 when any score has a forbidden fault, else 4 when one could not be read, else 0."""
    if args.list:
        return _list(args)
    if not args.scores:
        raise UsageError("SCORE is missing", "heldline check", "name a score or a folder, or ask for --list")
    wanted = _rules_asked(args.rules) if args.rules else None
    several = len(args.scores) > 1 or Path(args.scores[0]).is_dir()
    wrong = unreadable = 0
    for name in pile(args.scores):
        try:
            checked = _check(args, name, wanted)
        except HeldlineError as err:
            if not several:
                raise
            unreadable += 1
            _refused(args, name, err)
            continue
        wrong += not checked.report.correct
        if several and not args.json and name != checked.report.title:
            print(name)  # the scores of a class often have one title
        _print(args, checked)
    return WRONG if wrong else UNREADABLE if unreadable else 0


def pile(names: list[str]) -> Iterator[str]:
    """Every score named, a folder's in the order of their paths."""
    from trainer.formats import known_suffixes

    for name in names:
        place = Path(name)
        if not place.is_dir():
            yield name
            continue
        inside = sorted(path for path in place.rglob("*") if path.suffix.lower() in known_suffixes() and path.is_file())
        if not inside:
            print(f"heldline: no scores in {name}", file=sys.stderr)
        yield from (str(path) for path in inside)


def _check(args: argparse.Namespace, name: str, wanted: RuleSet | None) -> Checked:
    from trainer.library import resolve
    from trainer.reports.checked import Checked
    from trainer.rules.checking import check_piece
    from trainer.rules.piece import Piece
    from trainer.rules.registry import all_rules

    score = resolve(name)
    rules = wanted or rules_of(score)
    piece = Piece(score, args.species)
    report = check_piece(piece, rules)
    mended = {}
    if args.mend:
        from trainer.rules.mending import mends

        mended = {
            index: mends(piece, rules, report, finding)
            for index, finding in enumerate(report.findings)
            if finding.strictness == "forbidden"
        }
    shown: tuple[str, ...] = ()
    notes: tuple[dict[str, Any], ...] = ()
    if args.show:
        from trainer.reports.figured import figured, notes_to_json

        shown, notes = figured(piece, width=_look(args).width), notes_to_json(piece)
    return Checked(name, report, score.voice_names(), piece.texture.score_bars, all_rules(), mended, shown, notes)


def rules_of(score: Score) -> RuleSet:
    """The rule set that the score names, conservatoire when it names none that ships."""
    from trainer.rules.ruleset import SHIPPED, shipped

    said = score.fact("rules")
    return shipped(said if said in SHIPPED else "conservatoire")


def _rules_asked(name: str) -> RuleSet:
    """A shipped set by name, or a table by path. Raises UsageError."""
    from trainer.rules.registry import all_rules
    from trainer.rules.ruleset import SHIPPED, TableError, parse, shipped

    if name in SHIPPED:
        return shipped(name)
    place = Path(name)
    if not place.suffix and not place.exists():
        near = nearest(name, list(SHIPPED)) or f"choose one of {', '.join(SHIPPED)}, or give a file"
        raise UsageError(f"there is no rule set {name}", "--rules", near)
    try:
        return parse(place.read_text(encoding="utf-8"), place.stem, all_rules())
    except TableError as err:
        raise UsageError(err.what, f"{name}, line {err.line}" if err.line else name, err.do_next) from err
    except UnicodeDecodeError as err:
        raise UsageError("the table is not text", name, "copy a shipped table and change its lines") from err
    except OSError as err:
        raise UsageError(
            f"the table cannot be read: {(err.strerror or '').lower()}", name, "look at the spelling of the path"
        ) from err


def _list(args: argparse.Namespace) -> int:
    from trainer.reports.rule_list import list_as_text, list_to_json
    from trainer.rules.registry import all_rules
    from trainer.rules.ruleset import SHIPPED, shipped

    sets = [_rules_asked(args.rules)] if args.rules else [shipped(name) for name in SHIPPED]
    if args.json:
        print(json.dumps(list_to_json(all_rules(), sets), ensure_ascii=False))
    else:
        print(list_as_text(all_rules(), sets, width=_look(args).width))
    return 0


def _look(args: argparse.Namespace) -> Any:
    from trainer.cli._take import look

    return look(args)


def _print(args: argparse.Namespace, checked: Checked) -> None:
    from trainer.cli._options import names_from
    from trainer.reports.checked import checked_as_text, checked_called, checked_to_json

    if args.json:
        print(json.dumps(checked_to_json(checked), ensure_ascii=False), flush=True)
    else:
        called = checked_called(checked, names_from(args, "letters"))
        print(checked_as_text(called, _look(args)), end="\n\n", flush=True)


def _refused(args: argparse.Namespace, name: str, err: HeldlineError) -> None:
    from trainer.reports.checked import refused_to_json

    if args.json:
        print(json.dumps(refused_to_json(name, err), ensure_ascii=False), flush=True)
    print(f"heldline: {err}", file=sys.stderr)
