"""Which music a command takes: named, composed anew, or that of a kept take."""

from __future__ import annotations

import argparse
import secrets
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import _options
from trainer.cli._parser import Parser, UsageError

if TYPE_CHECKING:
    from trainer.score.model import Score

MOST_SEED = 10**9
VOICES = ("soprano", "alto", "tenor", "bass")
FARTHEST_SEMITONES = 12


def add_fresh(parser: Parser) -> None:
    """--fresh, --level and --seed: music that nobody has sung before."""
    group = parser.add_argument_group("something new")
    group.add_argument(
        "--fresh", action="store_true", help="a new exercise in place of SCORE, correct and of your level"
    )
    group.add_argument(
        "--level",
        metavar="N|N-M",
        help="how hard it is, 1 to 12 (else your setting, else what you held lately, else 2-4)",
    )
    group.add_argument("--seed", type=seed, metavar="N", help="the same number makes the same exercise again")


def add_again(parser: Parser) -> None:
    """--again: the music of a kept take."""
    parser.add_argument(
        "--again",
        nargs="?",
        type=_options.take_number,
        const=0,
        metavar="NUMBER",
        help="the music of a kept take (of the last) in place of SCORE",
    )


def add_moved(parser: Parser) -> None:
    """--up and --down: the piece in another key."""
    group = parser.add_argument_group("in another key, which is said beside the written one")
    for option in ("--up", "--down"):
        group.add_argument(
            option,
            type=semitones,
            metavar="SEMITONES",
            help=f"the whole piece {option[2:]} by 0 to 12 from what is written",
        )


def semitones(text: str) -> int:
    """0 to 12."""
    if not text.isascii() or not text.isdecimal() or int(text) > FARTHEST_SEMITONES:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of semitones; give 0 to {FARTHEST_SEMITONES}")
    return int(text)


def seed(text: str) -> int:
    """A whole number from 0."""
    if not text.isascii() or not text.isdecimal() or int(text) >= MOST_SEED:
        raise argparse.ArgumentTypeError(f"{text!r} is not a seed; give a whole number below {MOST_SEED:,}")
    return int(text)


def is_named(args: argparse.Namespace) -> bool:
    """Whether any music is asked for."""
    return args.score is not None or args.fresh or getattr(args, "again", None) is not None


def music(args: argparse.Namespace) -> Score:
    """The score that is asked for, in the key that is; where it names the singer's voice itself, ``args.voice`` has it afterwards.

    Raises
    ------
    UsageError
        For two answers to which music, or none.
    HeldlineError
        For a score that cannot be read, composed or found in the log.
    """
    again = getattr(args, "again", None)
    if args.fresh + (again is not None) + (args.score is not None) > 1:
        raise UsageError("there is more than one answer to which music", "SCORE, --fresh, --again", "keep one of them")
    if not args.fresh:
        for option, given in (("--level", args.level), ("--seed", args.seed)):
            if given is not None:
                raise UsageError(f"{option} is for new music", option, "add --fresh, or leave it out")
    if args.fresh:
        return moved_as_asked(args, _fresh(args))
    if again is not None:
        return moved_as_asked(args, _again(args, again))
    if args.score is None:
        raise UsageError("SCORE is missing", args.parser.prog, "name the music, or ask for new music with --fresh")
    from trainer.library import resolve

    return moved_as_asked(args, resolve(args.score))


def moved_as_asked(args: argparse.Namespace, score: Score) -> Score:
    """*score* as far up or down from what is written as is asked for; as it is where nothing is. Raises UsageError."""
    up, down = getattr(args, "up", None), getattr(args, "down", None)
    if up is None and down is None:
        return score
    from trainer.score.moved import moved

    if up is not None and down is not None:
        raise UsageError("a piece cannot be moved up and down", "--up, --down", "keep one of them")
    try:
        return moved(score, up or -(down or 0))
    except ValueError as err:
        option = "--up" if down is None else "--down"
        raise UsageError(f"{score.title} cannot be written there", option, "try a semitone more or less") from err


def _fresh(args: argparse.Namespace) -> Score:
    from trainer.aim.seeking import fresh
    from trainer.cli._take import tell
    from trainer.library import exercises
    from trainer.library.choosing import figures
    from trainer.library.titles import title_of

    wanted = getattr(args, "voice", None)
    if wanted is not None and wanted.lower() not in VOICES:
        raise UsageError(f"{wanted!r} is not a voice of new music", "--voice", f"give {', '.join(VOICES)}")
    level, why = _level(args.level)
    try:
        levels = figures(level)
    except ValueError as err:
        raise UsageError(err.args[0], "--level", err.args[-1]) from err
    number = secrets.randbelow(MOST_SEED) if args.seed is None else args.seed
    found = fresh(levels, voices=VOICES if wanted is None else (wanted.lower(),), seed=number)
    score = replace(found.score, title=title_of(found.score, {one.title for one in exercises()}))
    voice = score.fact("sing")
    if not args.quiet:
        asked = f" --voice {wanted.lower()}" if wanted else ""
        if why:
            tell(f"level {level}: {why} (--level N for another)")
        tell(
            f"new: {score.title}, level {found.grade.level}, for the {voice}; {found.grade.words}\n"
            f"  the same again: --fresh --level {level}{asked} --seed {number}"
        )
    if hasattr(args, "voice") and not getattr(args, "lines", None):
        args.voice = voice
    return score


def _level(option: str | None) -> tuple[str, str]:
    """The level as typed or set, else as practice has it with why in words, else the default."""
    from trainer.cli._chosen import choice

    asked = choice("level", option)
    if asked.origin != "default":
        return str(asked.value), ""
    from trainer.cli._held import held_lately
    from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL
    from trainer.plan.level import learnt_level

    learnt = learnt_level(held_lately(), LOWEST_LEVEL, HIGHEST_LEVEL)
    if learnt is None:
        return str(asked.value), ""
    first, last = learnt.levels[0], learnt.levels[-1]
    return (f"{first}-{last}" if last > first else str(first)), learnt.why


def _again(args: argparse.Namespace, number: int) -> Score:
    from trainer.cli._take import tell
    from trainer.places import places
    from trainer.takes.keeping import open_store

    with open_store(places(), tell) as store:
        known = number or store.last()
        if known is None:
            raise UsageError("no take is kept yet", "--again", "make one: heldline sing, heldline key")
        attempt = store.get(known)
    if args.voice is None and not getattr(args, "lines", None) and len(attempt.lines) == 1:
        args.voice = str(attempt.lines[0] + 1)
    return attempt.score
