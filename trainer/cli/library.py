"""``heldline library``: the exercises that come with heldline, listed, chosen among, shown."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli import _before, _options
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command

if TYPE_CHECKING:
    from trainer.library.choosing import Filter
    from trainer.score.model import Score

EXAMPLES = """\
heldline library
heldline library --voice alto --parts 3 --level 4-6
heldline library --crux "big leap" --compass A3-D5
heldline library show "Ferry Bell at Low Water" --names sol-fa
heldline library show "Ferry Bell at Low Water" --page ferry.html --voice tenor
heldline library --species 4 --json"""

PAGES = (".svg", ".html")

FILTERS = {
    "species": ("S", "1 to 5 or combined; several behind commas"),
    "parts": ("N", "2, 3 or 4"),
    "mode": ("MODE", "dorian, phrygian, lydian, mixolydian, aeolian, ionian, minor, major"),
    "voice": ("VOICE", "the voice to sing: soprano, alto, tenor or bass"),
    "cantus": ("VOICE", "the voice that has the cantus"),
    "level": ("N|N-M", "1, the easiest, to 12"),
    "crux": ("WORDS", "words of what is hard about it, such as 'steps only' or 'clash'"),
    "compass": ("LOW-HIGH", "that the line to sing fits, in one octave or another, such as A3-D5"),
}


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "library", says="list, choose and show the exercises that come along", examples=EXAMPLES
    )
    parser.add_argument("action", nargs="?", choices=("show",), metavar="show", help="show one exercise")
    parser.add_argument("title", nargs="?", metavar="TITLE", help="its title, its number in the list, or a score file")
    group = parser.add_argument_group("which are listed")
    for name, (metavar, says) in FILTERS.items():
        group.add_argument(f"--{name}", metavar=metavar, help=says)
    shown = parser.add_argument_group("how one is shown")
    _options.add_names(shown, "letters")
    shown.add_argument(
        "--page",
        metavar="FILE",
        help=f"on paper: a .html file that prints every page, or .svg, a file a page; {_before.HELP}",
    )
    shown.add_argument("--part-copy", action="store_true", help="on paper: the part of --voice alone")


def run(args: argparse.Namespace) -> int:
    """Print the list or one exercise."""
    for option, given in (("--page", args.page), ("--part-copy", args.part_copy or None)):
        if given is not None and (args.action != "show" or args.page is None):
            raise UsageError(
                f"{option} is for one exercise on paper", option, "as in heldline library show 1 --page 1.html"
            )
    return _show(args) if args.action == "show" else _list(args)


def _show(args: argparse.Namespace) -> int:
    from trainer.library import resolve
    from trainer.reports import exercises
    from trainer.reports.as_json import as_text
    from trainer.reports.look import look_of

    if args.title is None:
        raise UsageError("TITLE is missing", "heldline library show", "name one from heldline library")
    for name in FILTERS:
        if name == "voice" and args.page is not None:
            continue
        if getattr(args, name) is not None:
            raise UsageError(f"--{name} chooses from the list", "heldline library show", "leave it out beside a title")
    score = resolve(args.title)
    if args.page is not None:
        return _page(args, score)
    names = _options.names_from(args, "letters")
    print(
        as_text(exercises.score_to_json(score))
        if args.json
        else exercises.score_as_text(score, names, width=look_of(sys.stdout).width)
    )
    return 0


def _page(args: argparse.Namespace, score: Score) -> int:
    """Write the score to a page, or several; 0."""
    from audio.whole_file import write_whole
    from trainer.reports.page import as_html, pages_of

    place = Path(args.page)
    if place.suffix.lower() not in PAGES:
        raise UsageError(
            f"pages are not written as {place.suffix or 'this'}",
            "--page",
            "end the file in .html, which prints all pages, or in .svg",
        )
    wanted = args.voice or score.fact("sing")
    own = _options.voice_index(score, wanted) if wanted else None
    if args.part_copy and own is None:
        raise UsageError("a part copy is of one voice", "--part-copy", "name it, as in --voice tenor")
    try:
        pages = pages_of(score, None if args.part_copy else own, alone=own if args.part_copy else None)
    except ImportError as err:
        raise UsageError(
            "writing pages needs the engraving library verovio, which is not installed",
            "--page",
            "install it with: pip install 'heldline[page]'",
        ) from err
    if place.suffix.lower() == ".html":
        written = {place: as_html(score.title, pages)}
    else:
        rest = {place.with_stem(f"{place.stem}-{number}"): page for number, page in enumerate(pages[1:], start=2)}
        written = {place: pages[0]} | rest
    before = _before.Before()
    for path, content in written.items():
        with before.kept(path):
            write_whole(path, content.encode())
        if not args.quiet:
            print(f"{path}: {score.title}")
    before.tell(args)
    return 0


def _list(args: argparse.Namespace) -> int:
    from trainer.library import exercises as shipped
    from trainer.library.choosing import chosen, filters, too_much
    from trainer.reports import exercises
    from trainer.reports.as_json import as_text
    from trainer.reports.look import look_of

    if args.names is not None:
        raise UsageError(
            "--names is for one exercise", "heldline library", "as in heldline library show 1 --names sol-fa"
        )
    every = shipped()
    wishes: list[Filter] = []
    for name, typed in ((name, getattr(args, name)) for name in FILTERS):
        if typed is None:
            continue
        try:
            wishes += filters({name: typed})
        except ValueError as err:
            raise UsageError(err.args[0], f"--{name}", err.args[-1]) from err
    listed = chosen(every, wishes)
    if args.json:
        print(as_text(exercises.list_to_json(listed)))
        return 0
    if listed:
        print(exercises.list_as_text(listed, width=look_of(sys.stdout).width))
    else:
        print(fitted(f"No exercise is all of this; {too_much(every, wishes)}.", hang=0))
    if listed and not args.quiet:
        choose = "" if wishes else "; choose by --voice, --level, --species, --crux ..."
        print(f"{len(listed)} of {len(every)}{choose}", file=sys.stderr)
    return 0
