"""``heldline compose``: new exercises, correct under a rule set, as many as you like."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli import _before
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command, nearest

if TYPE_CHECKING:
    from trainer.compose import Composed, Wish

EXAMPLES = """\
heldline compose --parts 2 --species 1 --cantus bass --line soprano -o first.drill
heldline compose --parts 4 --species 4 --cantus bass --line tenor --mode phrygian -o tied.musicxml
heldline compose --parts 4 --species combined --cantus alto --line tenor --count 12 --seed 7 -o twelve/
heldline compose --parts 3 --species 5 --cantus soprano --line alto --melody fux-d -o florid.drill
heldline compose --parts 4 --species 1 --cantus soprano --line alto --mode minor --rules tonal --sevenths -o minor.drill
heldline compose --parts 3 --species 4 --cantus bass --line alto --for "level 7-9, 7-6 clashes x3, sixths" -o weak.drill"""

MOST = 1000
LARGEST_SEED = 10**9


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "compose", says="compose new exercises, correct under a rule set", examples=EXAMPLES
    )
    group = parser.add_argument_group("for whom")
    group.add_argument("--parts", type=_whole, metavar="N", required=True, help="2, 3 or 4 voices")
    group.add_argument("--species", required=True, metavar="S", help="1 to 5 of the moving voice, or combined")
    group.add_argument("--cantus", required=True, metavar="VOICE", help="the voice that has the cantus")
    group.add_argument("--line", required=True, metavar="VOICE", help="the voice that moves")
    group.add_argument("--sing", metavar="VOICE", default="", help="the voice to be sung (the moving one)")
    group.add_argument(
        "--compass", metavar="VOICE=LOW..HIGH", action="append", default=[], help="another compass, as tenor=D3..F4"
    )
    group.add_argument(
        "--for",
        dest="aim",
        metavar="WISHES",
        help="what it shall train: level 4-6, one big leap, clash, compass A3-D5, sixths up x3, degree 7 ...",
    )
    group = parser.add_argument_group("what music")
    group.add_argument("--mode", default="dorian", metavar="MODE", help="dorian to ionian, minor or major (dorian)")
    group.add_argument("--final", default="", metavar="D", help="the final, as Bb (what suits the voices)")
    group.add_argument("--melody", default="", metavar="NAME|FILE", help="the cantus: fux-d to fux-c, or a score's")
    group.add_argument("--length", type=_whole, default=0, metavar="N", help="notes of a new cantus (8 to 14)")
    group.add_argument("--rules", default="strict16", metavar="NAME", help="strict16, conservatoire, tonal, or a file")
    group.add_argument("--sevenths", action="store_true", help="chordal sevenths, in four parts under tonal")
    group = parser.add_argument_group("how many, and where to")
    group.add_argument("--seed", type=_whole, default=0, metavar="N", help="the same seed gives the same bytes (0)")
    group.add_argument("--count", type=_whole, default=1, metavar="N", help="so many, no two alike (1)")
    group.add_argument("--title", default="", metavar="TEXT", help="what to call it (an invented title)")
    group.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="FILE|FOLDER",
        help=f"a .drill or .musicxml file, or a folder; {_before.HELP}",
    )


def _whole(text: str) -> int:
    """A whole number, below zero too, so that the wish itself can say what is wrong with it."""
    if not re.fullmatch(r"-?\d{1,9}", text):
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number")
    return int(text)


def run(args: argparse.Namespace) -> int:
    """Write one exercise or several, and say what was written."""
    from trainer.formats import write_path

    wish = wish_from(args)
    if not 1 <= args.count <= MOST:
        raise UsageError(f"{args.count} exercises at once are not possible", "--count", f"ask for 1 to {MOST}")
    if args.seed < 0:
        raise UsageError(f"a seed of {args.seed} is not possible", "--seed", "give a whole number from 0 on")
    where, before = _Where(args.output, args.count), _before.Before()
    for number, made in enumerate(_named(args, _graded(args, wish)), start=1):
        path = where.path(number, made)
        with before.kept(path):
            write_path(made.score, path)
        _told(args, path, made)
    before.tell(args)
    return 0


def _graded(args: argparse.Namespace, wish: Wish) -> Iterator[Composed]:
    """What is asked for, each exercise with its level, crux and compass in its headers."""
    from trainer.grading.grade import graded

    if args.aim is None:
        from trainer.compose import compose_batch

        yield from (replace(made, score=graded(made.score)) for made in compose_batch(wish, args.count))
    else:
        from trainer.aim.seeking import seek_batch
        from trainer.aim.wishes import read_aim

        yield from (sought.made for sought in seek_batch(read_aim(args.aim), wish, args.count))


def _named(args: argparse.Namespace, composed: Iterator[Composed]) -> Iterator[Composed]:
    """Each with a title of its own, invented where none is given."""
    from trainer.library import exercises
    from trainer.library.titles import title_of

    taken = {exercise.title for exercise in exercises()}
    for number, made in enumerate(composed, start=1):
        title = args.title or title_of(made.score, taken)
        taken.add(title)
        numbered = f"{title} {number}" if args.title and args.count > 1 else title
        yield replace(made, score=replace(made.score, title=numbered))


def wish_from(args: argparse.Namespace) -> Wish:
    """What the options ask for. Raises UsageError and WishError."""
    from trainer.cli.check import _rules_asked
    from trainer.compose import Wish

    return Wish(
        parts=args.parts,
        species=args.species,
        cantus_voice=args.cantus.lower(),
        line_voice=args.line.lower(),
        sing_voice=args.sing.lower(),
        mode=args.mode.lower(),
        final=args.final[:1].upper() + args.final[1:],
        rules=_rules_asked(args.rules),
        seed=args.seed,
        sevenths=args.sevenths,
        compasses=tuple(_compass(text) for text in args.compass),
        length=args.length,
        melody=_melody(args.melody),
        title=args.title,
    )


def _compass(text: str) -> tuple[str, str, str]:
    match = re.fullmatch(r"(\w+)=([A-Ga-g][#b]?\d)\.\.([A-Ga-g][#b]?\d)", text.strip())
    if match is None:
        raise UsageError(f"{text!r} is not a compass", "--compass", "write a voice and two pitches, as  tenor=D3..F4")
    voice, low, high = match.groups()
    return voice.lower(), low[:1].upper() + low[1:], high[:1].upper() + high[1:]


def _melody(text: str) -> str | tuple[str, ...]:
    from trainer.compose.cantus import named
    from trainer.compose.given import from_score
    from trainer.formats import known_suffixes

    if not text or text in named():
        return text
    if Path(text).suffix.lower() not in known_suffixes() and "/" not in text:
        near = nearest(text, list(named())) or f"choose one of {', '.join(named())}, or give a score file"
        raise UsageError(f"there is no cantus called {text}", "--melody", near)
    from trainer.formats import read_path

    return from_score(read_path(text))


class _Where:
    """Where each exercise goes: one file, files with numbers, or a folder of drill text."""

    def __init__(self, output: str, count: int) -> None:
        from trainer.formats import known_suffixes

        self.target, self.count = Path(output), count
        self.folder = self.target.is_dir() or self.target.suffix.lower() not in known_suffixes()
        if not self.folder:
            return
        if self.target.suffix and not self.target.is_dir() and not output.endswith("/"):
            raise UsageError(
                f"exercises are not written into files ending in {self.target.suffix}",
                "-o",
                "end the name in .drill or .musicxml, or name a folder",
            )
        try:
            self.target.mkdir(parents=True, exist_ok=True)
        except OSError as err:
            raise UsageError(
                f"the folder cannot be made: {(err.strerror or str(err)).lower()}", output, "name another place"
            ) from err

    def path(self, number: int, made: Composed) -> Path:
        """The file of one exercise."""
        if self.folder:
            words = "-".join(re.findall(r"[a-z0-9#]+", made.score.title.lower().replace("#", "-sharp")))
            return self.target / f"{number:02d}-{words}.drill"
        if self.count == 1:
            return self.target
        return self.target.with_name(f"{self.target.stem}-{number:02d}{self.target.suffix}")


def _told(args: argparse.Namespace, path: Path, made: Composed) -> None:
    score = made.score
    if args.json:
        told = {
            "schema": "heldline.compose/1",
            "file": str(path),
            "title": score.title,
            "parts": len(score.lines),
            **{name: score.fact(name) for name in ("species", "mode", "rules", "cantus", "line", "sing", "crux")},
            "level": int(score.fact("level")),
            "melody": made.cantus,
            "seed": made.seed,
        }
        print(json.dumps(told, ensure_ascii=False), flush=True)
    elif not args.quiet:
        told_of = (
            f"{path}: {score.title}, level {score.fact('level')} for the {score.fact('sing')}; {score.fact('crux')}"
            f" (cantus: {made.cantus}; seed {made.seed})"
        )
        print(fitted(told_of), flush=True)
