"""``heldline`` alone: what is possible here and what to type next. Asks nothing, waits for nothing, touches no device."""

from __future__ import annotations

import argparse
import contextlib

ABOUT = "Three voices sound, you sing or key the fourth, and each beat is told: held, or what it was."


def run(_: argparse.Namespace) -> int:
    """Print it."""
    from trainer.errors import HeldlineError
    from trainer.library import exercises
    from trainer.places import places

    count = 0
    with contextlib.suppress(HeldlineError):  # an installation without its library can still judge a file
        count = len(exercises())
    print(ABOUT)
    print("Here: recordings (sing), MIDI files (key) and a pretend singer (demo) are judged; nothing is sent anywhere.")
    print("A microphone and keys played live come with the next version.")
    print()
    print("Type next:")
    steps = [
        ("heldline demo", "see a whole take without any device"),
        ("heldline library", f"{count} {'exercise comes' if count == 1 else 'exercises come'} along"),
        ("heldline sing SCORE --voice VOICE --input FILE", "judge a recording of your line"),
        ("heldline --help", "all commands"),
    ]
    if places().takes.exists():
        steps.insert(0, ("heldline review", "your last take once more"))
    for command, says in steps:
        print(f"  {command:<48}{says}")
    return 0
