"""``heldline demo``: a pretend singer with planted faults, through the same tracker and judge as anyone; no device at all."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._fitted import fitted
from trainer.cli._parser import UsageError, add_command, nearest

EXAMPLES = """\
heldline demo
heldline demo --list
heldline demo --take heron --json"""


def add(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(subparsers, "demo", says="see a whole take without any device", examples=EXAMPLES)
    parser.add_argument("--take", metavar="NAME", help="which pretend singer")
    parser.add_argument("--list", action="store_true", help="name the pretend singers and their planted faults")


def run(args: argparse.Namespace) -> int:
    """Judge a pretend take and show it; always 0, even where nobody sings. Nothing of it is kept."""
    from trainer.demo.takes import EXERCISE, TAKES, VOICE, usual_settings
    from trainer.reports.as_json import as_text

    if args.list:
        if args.json:
            table = {"schema": "heldline.demo/1", "takes": [{"name": one.name, "says": one.says} for one in TAKES]}
            print(as_text(table))
        else:
            print(fitted("\n".join(f"{one.name}: {one.says}" for one in TAKES)))
        return 0
    known = [one.name for one in TAKES]
    name = known[0] if args.take is None else args.take.strip().lower()
    if name not in known:
        raise UsageError(f"there is no pretend singer {args.take}", "--take", nearest(name, known) or ", ".join(known))
    pretend = TAKES[known.index(name)]
    if not args.json:
        print(fitted(f"A pretend take, with faults planted in it. {pretend.says}", hang=0), end="\n\n", flush=True)
    from trainer.cli._options import voice_index
    from trainer.cli._take import show
    from trainer.library import resolve
    from trainer.takes.judging import judge
    from trainer.takes.recording import heard_from

    score, settings = resolve(EXERCISE), usual_settings()
    lines = (voice_index(score, VOICE),)
    show(args, judge(score, lines, heard_from(pretend.blocks(score, settings)), settings=settings), score)
    return 0
