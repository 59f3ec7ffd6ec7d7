"""``heldline ladder``: from the own line with the guide, rung by rung, to holding it against everybody."""

from __future__ import annotations

import argparse
import contextlib
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from trainer.cli import _live, _live_options, _options, _which
from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command
from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.live.wish import Wish
    from trainer.practice.beside import Beside
    from trainer.score.model import Score

EXAMPLES = """\
heldline ladder "Ferry Bell at Low Water" --voice tenor
heldline ladder "Ferry Bell at Low Water" --voice tenor --rung 4
heldline ladder "Ferry Bell at Low Water" --voice tenor --list
heldline ladder --again"""


DECIDED = {"loop": "loop", "guide": "guide", "mute": "mute", "bars": "bars", "show": "what is shown"}


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "ladder", says="learn a line rung by rung: alone, against one, against all", examples=EXAMPLES
    )
    _live_options.add_practice(parser)
    group = parser.add_argument_group("the ladder")
    group.add_argument("--rung", type=_options.take_number, metavar="N", help="where to begin (where you left it)")
    group.add_argument("--list", action="store_true", help="list the rungs and sing nothing")


def run(args: argparse.Namespace) -> int:
    """One session; 0, 5 when nothing was heard in its last take."""
    for name, words in DECIDED.items():
        if getattr(args, name):
            raise UsageError(f"the ladder decides about {words}", f"--{name}", "leave it out")
    if not _which.is_named(args):
        raise UsageError("SCORE is missing", "heldline ladder", "name the music, or take the last with --again")
    if args.list:
        return _list(args)
    return _live.sing_live(args, lambda wish: on_the_ladder(args, wish))


def on_the_ladder(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* with the ladder of its line as its course, from where it was left. Raises UsageError."""
    from trainer.ladder.climb import Climb, resumed
    from trainer.ladder.rungs import rungs
    from trainer.live.courses import LadderCourse

    pulls, taken = _kept(wish.score, wish.line_index)
    found = rungs(wish.score, wish.line_index, pulls)
    climb = resumed(found, taken)
    if args.rung is not None:
        _refuse_rung(args.rung, len(found))
        climb = Climb(len(found), args.rung - 1, held=climb.held)
    return replace(wish, course=LadderCourse(found, len(wish.score.lines), climb))


def _refuse_rung(rung: int, count: int) -> None:
    if not 1 <= rung <= count:
        raise UsageError(f"there is no rung {rung}", "--rung", f"give 1 to {count}")


def _list(args: argparse.Namespace) -> int:
    from trainer.ladder.rungs import rungs

    score = _which.music(args)
    wanted = args.voice or score.fact("sing")
    if not wanted:
        raise UsageError("--voice is missing", "heldline ladder", "name the voice that you sing, as in --voice tenor")
    line = _options.voice_index(score, wanted)
    found = rungs(score, line, _kept(score, line)[0])
    if args.rung is not None:
        _refuse_rung(args.rung, len(found))
    if args.json:
        from trainer.reports.as_json import as_text

        names = score.voice_names()
        rows = [
            {
                "rung": number,
                "name": rung.name,
                "sounding": [names[one] for one in sorted(rung.sounding)],
                "guide": rung.guide,
                "drone": rung.drone == "on",
                "shown": rung.shown,
                "silent_bars": rung.silent_bars,
            }
            for number, rung in enumerate(found, start=1)
        ]
        print(as_text({"schema": "heldline.ladder/1", "title": score.title, "voice": names[line], "rungs": rows}))
        return 0
    for number, rung in enumerate(found, start=1):
        print(fitted(f"{number:>2}  {rung.name}", hang=4))
    return 0


def _kept(score: Score, line: int) -> tuple[dict[int, int], list[tuple[Beside, str]]]:
    """How often each voice pulled this line in the kept takes, and their company and marks; nothing where they cannot be read."""
    from trainer.cli._history import opened_history
    from trainer.log.history import History

    names = score.voice_names()
    pulled: Counter[int] = Counter()
    with contextlib.suppress(HeldlineError), opened_history() as store:
        history = None if store is None else History(store)
        exercise = None if history is None else history.exercise_of(score)
        if history is not None and exercise is not None:
            for bar in history.bars(exercise, line):
                if bar.outcome.pulled_to in names:
                    pulled[names.index(bar.outcome.pulled_to)] += 1
            return dict(pulled), history.company(exercise, line)
    return {}, []
