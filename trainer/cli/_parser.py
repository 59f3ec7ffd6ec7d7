"""How a command line is read: examples first in help, options written out in full, a likely word for a mistyped one."""

from __future__ import annotations

import argparse
import difflib
import importlib
import os
import re
import textwrap
from pathlib import PurePath
from typing import Any, NoReturn

from trainer import __version__
from trainer.cli import COMMANDS
from trainer.errors import HeldlineError

EXIT_STATUSES = """\
Exit status:
  0    done (wrong notes are no error)
  1    a requirement that you set was not met
  2    wrong usage
  3    a device is missing or refused
  4    a file is unreadable or not an exercise
  5    nothing was heard
  130  stopped by Ctrl-C    143  stopped by a terminate signal
  141  whoever read the output had enough"""

ABOUT = "Hold one line against the others: three voices sound, you sing or key the fourth, and each beat is told."

SOUND_ENDINGS = frozenset({".wav", ".flac", ".ogg", ".mp3", ".m4a", ".aiff", ".aif"})


class UsageError(HeldlineError):
    """A command line that cannot be followed."""

    exit_status = 2


class Parser(argparse.ArgumentParser):
    """argparse with our order of help and our kind of error."""

    def __init__(self, *args: Any, **options: Any) -> None:
        examples = options.pop("examples", "")
        options.setdefault("formatter_class", argparse.RawDescriptionHelpFormatter)
        options.setdefault("allow_abbrev", False)  # a script's --tol must not change its meaning with a new option
        options.setdefault("epilog", EXIT_STATUSES)
        options["add_help"] = False
        super().__init__(*args, **options)
        self.examples = examples
        self.color = False  # Python 3.14 colours help by itself; ours is plain text
        self.add_argument("-h", "--help", action="help", help="show this and leave")
        self.add_argument(
            "-V", "--version", action="version", version=f"heldline {__version__}", help="show the version and leave"
        )

    def format_help(self) -> str:
        """What it does, examples, then usage and options."""
        formatter = self._get_formatter()
        parts = [textwrap.fill(self.description or "", formatter._width, break_on_hyphens=False)]
        if self.examples:
            parts.append("Examples:\n" + "\n".join(f"  {line}" for line in self.examples.splitlines()))
        formatter.add_usage(self.usage, self._actions, self._mutually_exclusive_groups, prefix="Usage: ")
        for group in self._action_groups:
            formatter.start_section(group.title)
            formatter.add_text(group.description)
            formatter.add_arguments(group._group_actions)
            formatter.end_section()
        parts.append(formatter.format_help().strip("\n"))
        if self.epilog:
            parts.append(self.epilog)
        return "\n\n".join(part for part in parts if part) + "\n"

    def error(self, message: str) -> NoReturn:
        """Raise UsageError with the nearest word that there is."""
        raise UsageError(*self._told(message))

    def leftover(self, words: list[str]) -> NoReturn:
        """Raise UsageError for words that no argument took."""
        options = [word for word in words if word.startswith("-") and word != "-"]
        if not options:
            raise UsageError(
                f"there is a word too many: {words[0]}", self.prog, "put a title of several words in quotes"
            )
        known = [string for action in self._actions for string in action.option_strings]
        raise UsageError(
            f"there is no option {options[0]}", self.prog, _option_like(options[0], known) or self._see_help()
        )

    def refuse_loose(self, words: list[str]) -> None:
        """Raise UsageError where a list of sound files has a space in a comma's place."""
        for action in self._actions:
            if not str(action.metavar or "").endswith("FILE,..."):
                continue
            for option, first, second in zip(words, words[1:], words[2:], strict=False):
                if option in action.option_strings and _ending(second) in SOUND_ENDINGS and _ending(first):
                    one, other = (word.rstrip(",").rpartition("=")[2] for word in (first, second))
                    raise UsageError(
                        "several files are joined by commas, without a space",
                        f"{self.prog}, {option}",
                        f"as in {option} {one},{other} or, with labels, wren={one},heron={other}",
                    )

    def _told(self, message: str) -> tuple[str, str, str]:
        missing = re.match(r"the following arguments are required: (.*)", message)
        if missing:
            return f"{missing[1]} is missing", self.prog, self._see_help()
        choice = re.match(r"argument ([^:]*): invalid choice: '?(.*?)'? \(choose from (.*)\)", message)
        if choice:
            name, given, allowed = choice[1], choice[2], [word.strip(" '") for word in choice[3].split(",")]
            if name == "COMMAND":
                return f"there is no command {given}", self.prog, nearest(given, allowed) or self._see_help()
            return f"{given} is not possible here", f"{self.prog}, {name}", f"choose one of {', '.join(allowed)}"
        about = re.match(r"argument ([^:]*): (.*)", message)
        if about:
            return about[2], f"{self.prog}, {about[1]}", self._see_help()
        return message, self.prog, self._see_help()

    def _see_help(self) -> str:
        return f"{self.prog} --help shows examples"


def _ending(word: str) -> str:
    return PurePath(word.rstrip(",")).suffix.lower()


def _option_like(word: str, known: list[str]) -> str:
    """As :func:`nearest`, of options: the dashes that all have in common make none alike."""
    bare = {string.lstrip("-"): string for string in known if string.startswith("--")}
    found = nearest(word.split("=")[0].lstrip("-"), list(bare))
    return next((found.replace(name, bare[name]) for name in bare if found == f"did you mean {name}?"), found)


def nearest(word: str, known: list[str]) -> str:
    """A question with the known word most like *word*, or ""."""
    likely = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return f"did you mean {likely[0]}?" if likely else ""


def build_parser() -> Parser:
    """The whole command line, every command's part added by its own module."""
    parser = Parser(
        prog="heldline",
        description=ABOUT,
        examples='heldline demo\nheldline library\nheldline sing "Ferry Bell at Low Water" --voice tenor --input take.wav',
    )
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for name in COMMANDS:
        importlib.import_module(f"trainer.cli.{name}").add(subparsers)
    return parser


def add_command(subparsers: Any, name: str, *, says: str, examples: str, result: str = "--json") -> Parser:
    """A command's own parser with the options that every command has.

    *says* is its one sentence, without a full stop; *result* the option under which it prints JSON, or "" for none.
    """
    parser: Parser = subparsers.add_parser(
        name, help=says, description=says[:1].upper() + says[1:] + ".", examples=examples
    )
    parser.set_defaults(parser=parser)
    shown = parser.add_argument_group("how it is shown")
    if result:
        shown.add_argument(result, action="store_true", help="print one JSON object and nothing else on stdout")
    shown.add_argument("--plain", action="store_true", help="one line a bar, label first, no drawing")
    shown.add_argument("--color", choices=("auto", "always", "never"), default=None, help="when to colour")
    shown.add_argument("-q", "--quiet", action="store_true", help="say nothing on the way")
    return parser


def parse(argv: list[str]) -> argparse.Namespace:
    """The command line as a namespace. Raises UsageError; leaves by SystemExit(0) after help and version."""
    os.environ.setdefault("COLUMNS", "80") if not os.isatty(1) else None
    parser = build_parser()
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction) and argv and argv[0] in action.choices:
            action.choices[argv[0]].refuse_loose(argv[1:])
    args, rest = parser.parse_known_args(argv)
    if rest:
        getattr(args, "parser", parser).leftover(rest)
    return args
