"""``heldline review``: a kept take once more, under its own settings or others."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli import _options
from trainer.cli._parser import UsageError, add_command

EXAMPLES = """\
heldline review
heldline review --why 5.1
heldline review 12 --against pure --tolerance fine"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "review", says="look at the last take once more, or at any other", examples=EXAMPLES
    )
    parser.add_argument("number", nargs="?", type=_options.take_number, metavar="NUMBER", help="which take (the last)")
    parser.add_argument("--why", metavar="BAR.BEAT", help="the numbers behind one beat, such as 5.1")
    _options.add_judging(parser)


def run(args: argparse.Namespace) -> int:
    """Judge a stored take again and show it; 5 when nothing was heard in it."""
    from trainer.cli._take import said_of, show, tell
    from trainer.places import places
    from trainer.takes.keeping import judge_again, open_store, put_verdict

    with open_store(places(), tell) as store:
        number = args.number if args.number is not None else store.last()
        if number is None:
            raise UsageError("no take is kept yet", "heldline review", "make one: heldline sing, heldline key")
        attempt = store.get(number)
        settings = _options.changed_settings(args, attempt.settings)
        performance = judge_again(attempt, settings)
        put_verdict(store, number, settings, performance)
    if args.why is not None:
        return _why(args, performance)
    return show(args, performance, said_of(attempt.score))


def _why(args: argparse.Namespace, performance: Any) -> int:
    from trainer.reports.why import parse_place, why, why_json

    place = parse_place(args.why)
    if place is None:
        raise UsageError(f"{args.why!r} is not a bar and beat", "--why", "as in 5.1 for bar 5 beat 1")
    bar, beat = place
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(why_json(performance, bar, beat)))
        return 0
    told = [(take.voice, why(take, bar, beat)) for take in performance.takes]
    if all(words is None for _, words in told):
        raise UsageError(f"the take has no bar {bar} beat {float(beat):g}", "--why", "give one of its bars and beats")
    for voice, words in told:
        if len(told) > 1:
            print(f"{voice}:")
        print(words or "  nothing there")
    return 0
