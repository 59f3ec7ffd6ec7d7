"""``heldline`` alone: what is possible here and what to type next. Asks nothing, and waits for devices no longer than a moment."""

from __future__ import annotations

import argparse
import contextlib
import shutil
import textwrap
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from audio.devices.finding import Found

ABOUT = "Three voices sound, you sing or key the fourth, and each beat is told: held, or what it was."
WIDEST = 100
COLUMNS_OF_BOTH = 78
"""What a command and its words need beside each other."""

LOOK_SECONDS = 0.8
"""A second is what the whole greeting may take; a driver that hangs is left to itself."""


def run(_: argparse.Namespace) -> int:
    """Print it."""
    from trainer.errors import HeldlineError
    from trainer.library import exercises
    from trainer.places import places

    count = 0
    with contextlib.suppress(HeldlineError):  # an installation without its library can still judge a file
        count = len(exercises())
    here = looked()
    width = min(shutil.get_terminal_size().columns, WIDEST)
    for line in (ABOUT, *here_words(here)):
        print(textwrap.fill(line, width, break_on_hyphens=False))
    print()
    for line in next_line(width):
        print(line)
    print("Type next:")
    steps = [
        ("heldline demo", "a whole take without a device"),
        ("heldline library", f"{count} {'exercise comes' if count == 1 else 'exercises come'} along"),
        ("heldline sing SCORE --voice VOICE --input FILE", "judge a recording"),
        ("heldline --help", "all commands"),
    ]
    if places().takes.exists():
        steps.insert(0, ("heldline review", "your last take again"))
    steps = [*live_steps(here), *steps]
    for command, says in steps:
        print(f"  {command:<48}{says}" if width >= COLUMNS_OF_BOTH else f"  {command}\n      {says}")
    return 0


def next_line(width: int) -> list[str]:
    """What the kept takes say to do next, and what to type for it; nothing where none are kept, or none can be read."""
    from trainer.places import places

    if not places().takes.exists() and not places().running.exists():
        return []
    from trainer.cli._history import opened_history, titles
    from trainer.errors import HeldlineError
    from trainer.reports.plan import command, says
    from trainer.takes.plans import now, planned

    try:
        with opened_history() as store:
            if store is None or store.last() is None:
                return []
            found = planned(store, titles(), now())
    except HeldlineError as err:
        return [*str(err).splitlines(), ""]
    if not found.steps:
        return [textwrap.fill("Next: nothing is due today; heldline plan says more.", width), ""]
    step = found.steps[0]
    typed = command(step, found.known)
    told = textwrap.fill(f"Next: {says(step, found.known)}{':' if typed else '.'}", width, break_on_hyphens=False)
    return [told, *([f"  {typed}"] if typed else []), ""]


def looked() -> Found | None:
    """What is plugged in; None when that cannot be known in a moment."""
    from audio.devices import found

    answers: list[Found] = []
    looking = threading.Thread(target=lambda: answers.append(found()), daemon=True)
    looking.start()
    looking.join(LOOK_SECONDS)
    return answers[0] if answers else None


def here_words(here: Found | None) -> list[str]:
    """What was found, in a line or two."""
    judged = "Recordings (sing), MIDI files (key) and a pretend singer (demo) are judged without any device."
    if here is None:
        return ["The devices of this machine take long to answer: heldline soundcheck --list waits for them.", judged]
    if not (here.inputs or here.outputs or here.keys):
        return ["No sound, no microphone, no keys here.", judged]
    microphone = here.inputs[0].name if here.inputs else "none that I may use"
    sound = here.outputs[0].name if here.outputs else "none"
    keys = f"{len(here.keys)} {'port' if len(here.keys) == 1 else 'ports'}" if here.keys else "none"
    return [f"Microphone: {microphone}. Sound: {sound}. Keys: {keys}. Nothing is sent anywhere.", judged]


def live_steps(here: Found | None) -> list[tuple[str, str]]:
    """What to type for what is plugged in."""
    steps = []
    if here is None or here.inputs:
        steps += [
            ("heldline sing", "hum a note, sing four bars"),
            ("heldline sing SCORE --voice VOICE", "against the other voices"),
            ("heldline sing --fresh", "the same with new music of your level"),
            ("heldline warmup", "how far your voice goes today"),
            ("heldline soundcheck", "microphone, sound and delay"),
        ]
    elif here.keys:
        steps.append(("heldline sing", "press a key, play four bars"))
    if here is not None and here.keys:
        steps.append(("heldline key SCORE --voice VOICE", "the same on the keys"))
    if here is not None and not here.inputs and not here.keys:
        steps.append(("heldline key SCORE --voice VOICE --degrees", "type degrees in time"))
    return steps
