"""``heldline plan``: what to do today, from the takes that are kept."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._parser import add_command

EXAMPLES = """\
heldline plan
heldline plan --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    add_command(
        subparsers,
        "plan",
        says="say what to practise today: weak bars, lines that come back, one new",
        examples=EXAMPLES,
    )


def run(args: argparse.Namespace) -> int:
    """Print it."""
    from trainer.cli._compass import known_compass, span_words
    from trainer.cli._history import opened_history, titles
    from trainer.cli._take import look
    from trainer.plan.today import NEW, Step
    from trainer.reports.plan import compose_command, plan_as_text, plan_to_json
    from trainer.reports.tally import counted_late
    from trainer.takes.plans import Planned, now, planned

    with opened_history() as store:
        found = planned(store, titles(), now()) if store is not None else Planned((Step(NEW),), {}, "", "", 0, 0)
    compass = span_words(known_compass())
    if args.json:
        from trainer.reports.as_json import as_text

        print(as_text(plan_to_json(found.steps, found.known, aim=found.aim, voice=found.voice, compass=compass)))
        return 0
    besides = []
    if found.aim:
        besides.append(f"Hard for you so far: {found.aim}. An exercise with much of it:")
        besides.append(compose_command(found.aim, found.voice, compass))
    if found.ahead:
        took = "take is" if found.ahead == 1 else "takes are"
        besides.append(f"{found.ahead} {took} dated after today: the clock was set back. They count as today's.")
    besides += [told for told in (counted_late(found.uncounted),) if told]
    print(plan_as_text(found.steps, found.known, look(args), besides=besides))
    return 0
