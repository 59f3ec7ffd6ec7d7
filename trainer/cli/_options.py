"""Options that several commands share, and the settings of a take that they make."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.cli._parser import Parser, UsageError

if TYPE_CHECKING:
    from trainer.practice.settings import Settings
    from trainer.score.model import Score
    from trainer.score.naming import Names

_DECIMAL = re.compile(r"[+-]?(\d{1,9}(\.\d{0,12})?|\.\d{1,12})\Z")


def decimal(text: str) -> Fraction:
    """Exact value of a plain decimal number. Raises ArgumentTypeError on anything else, "nan" and "1e9" included."""
    if not _DECIMAL.match(text):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number")
    return Fraction(text)


def tolerance(text: str) -> int:
    """Cents of fine, usual, learner or a whole number."""
    from trainer.practice.settings import TOLERANCES

    if text in TOLERANCES:
        return TOLERANCES[text]
    if not re.fullmatch(r"\d{1,4}", text):
        raise argparse.ArgumentTypeError(f"{text!r} is not fine, usual, learner or whole cents")
    return int(text)


def add_judging(parser: Parser) -> None:
    """--tolerance, --against, --octave, --a and --alone: what a pitch line is judged by."""
    group = parser.add_argument_group("what it is judged by")
    group.add_argument(
        "--tolerance",
        type=tolerance,
        metavar="CENTS",
        help="half-width of held: fine (15), usual (25), learner (35) or whole cents",
    )
    group.add_argument("--against", choices=("equal", "pure"), help="tuned equally, or purely above the lowest voice")
    add_octave(group)
    group.add_argument("--a", type=decimal, metavar="HZ", help="pitch of A4, 392 to 466 (440)")
    group.add_argument(
        "--alone", action="store_true", default=None, help="nothing sounded beside the singer: drift is taken off"
    )


def add_octave(group: argparse._ActionsContainer) -> None:
    """--octave alone, for keys."""
    group.add_argument(
        "--octave",
        choices=("strict", "steady", "free"),
        help="as written; one other octave all through; any octave (steady)",
    )


def add_time(parser: Parser) -> None:
    """--starts-at and --tempo: how the file's time becomes music time."""
    group = parser.add_argument_group("where the music stands in the file")
    group.add_argument(
        "--starts-at", type=decimal, metavar="S", help="second of the file at which bar 1 beat 1 falls (0)"
    )
    group.add_argument("--tempo", type=decimal, metavar="QPM", help="quarters a minute (the score's own)")


def settings_from(args: argparse.Namespace) -> Settings:
    """Settings of a take from options, surroundings, files and defaults, in that order of weight."""
    from trainer.cli._chosen import chosen
    from trainer.practice.settings import Settings

    known = {
        "tolerance_cents": chosen("tolerance", getattr(args, "tolerance", None)),
        "against": chosen("against", getattr(args, "against", None)),
        "octave": chosen("octave", getattr(args, "octave", None)),
        "a4_hz": float(chosen("a", getattr(args, "a", None))),
        "tempo_qpm": getattr(args, "tempo", None),
        "starts_at_s": getattr(args, "starts_at", None) or Fraction(0),
        "time": getattr(args, "time", None) or "fixed",
        "alone": bool(getattr(args, "alone", None)),
        "sinking_cents": getattr(args, "sinking", None) or 0,
    }
    if abs(known["starts_at_s"]) > 36_000:
        raise UsageError("a start more than ten hours away is not possible", "--starts-at", "give seconds in the file")
    return Settings(**known)


def changed_settings(args: argparse.Namespace, before: Settings) -> Settings:
    """*before* with what the options of ``add_judging`` ask for instead."""
    asked = {
        "tolerance_cents": args.tolerance,
        "against": args.against,
        "octave": args.octave,
        "a4_hz": None if args.a is None else float(args.a),
        "alone": args.alone,
    }
    return replace(before, **{name: value for name, value in asked.items() if value is not None})


def voice_index(score: Score, wanted: str, option: str = "--voice") -> int:
    """Index of the line called *wanted*. Raises UsageError with the names that there are."""
    from trainer.score.model import find_voice

    try:
        return find_voice(score, wanted)
    except KeyError as err:
        raise UsageError(f"{score.title} has no voice called {wanted}", option, f"choose one of {err.args[0]}") from err


def refuse_silent(score: Score, lines: Sequence[int]) -> None:
    """Raises UsageError for a voice without a note: nobody can be told whether it was held."""
    for line in lines:
        if not score.lines[line].notes:
            raise UsageError(f"the {score.voice_names()[line]} has no notes to sing", "--voice", "choose another")


NAMES = ("degrees", "sol-fa", "do-minor", "fixed-do", "letters", "german")
"""As ``trainer.score.naming.KINDS`` has them, which is not imported for a help text."""


def add_names(group: argparse._ActionsContainer, usual: str) -> None:
    """--names: how notes are called."""
    group.add_argument("--names", choices=NAMES, help=f"how notes are called (your setting, else {usual})")


def names_from(args: argparse.Namespace, usual: str = "degrees") -> Names:
    """What notes are called: as the option says, or a setting, else as usual."""
    from trainer.cli._chosen import choice
    from trainer.score.naming import Names

    found = choice("names", getattr(args, "names", None))
    return Names(usual if found.origin == "default" else str(found.value))


def cut_to(score: Score, words: str | None) -> Score:
    """Only the bars that --bars names, all of them for None. Raises UsageError."""
    if words is None:
        return score
    from trainer.live.choices import bars_of
    from trainer.score.change import cut

    try:
        return cut(score, *bars_of(words))
    except (KeyError, ValueError) as err:
        bars = score.bars().bars
        there = f"the piece has bars {bars[0].number} to {bars[-1].number}"
        raise UsageError(f"there are no bars {words}", "--bars", there) from err


def add_keeping(parser: Parser) -> None:
    """--no-log and --keep-sound: what stays on this machine."""
    group = parser.add_argument_group("what is kept")
    group.add_argument("--no-log", action="store_true", help="keep nothing of this take")
    group.add_argument("--keep-sound", action="store_true", help="keep the recording as well as its pitch line")


def whole(text: str) -> int:
    """A whole number from 0."""
    if not re.fullmatch(r"\d{1,9}", text):
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number")
    return int(text)


def whole_within(least: int, most: int | None = None) -> Callable[[str], int]:
    """A reader of whole numbers from *least* to *most*, which says what it takes."""
    allowed = f"of {least} or more" if most is None else f"from {least} to {most}"

    def read(text: str) -> int:
        number = int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None
        if number is None or number < least or (most is not None and number > most):
            raise argparse.ArgumentTypeError(f"{text!r} is not a whole number {allowed}")
        return number

    return read


def take_number(text: str) -> int:
    """Number of a kept take."""
    if not re.fullmatch(r"\d{1,12}", text):
        raise argparse.ArgumentTypeError(f"{text!r} is not the number of a take")
    return int(text)
