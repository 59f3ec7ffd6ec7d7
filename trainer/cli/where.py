"""``heldline where``: every path that heldline uses on this machine."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli._fitted import fitted
from trainer.cli._parser import add_command

EXAMPLES = """\
heldline where
HELDLINE_HOME=/media/stick/heldline heldline where"""

SAYS = {
    "settings": "your settings",
    "project_settings": "settings of the folder you are in",
    "takes": "the database of takes, and of a section's rehearsals: notes on bars, offsets, labels of desks",
    "sound": "recordings that you asked to be kept",
    "running": "takes under way or waiting for the database",
    "unkept": "of a session that keeps nothing, as long as it runs",
    "devices": "devices used last and their delays",
    "singer": "in which octave each part was sung last, and how far your voice went today",
    "weights": "how hard each kind of thing is by the takes kept here",
    "compiled": "what makes listening quicker, made by this program; may be deleted at any time",
    "library": "the exercises that come along",
}


def add(subparsers: Any) -> None:
    """Add the command."""
    add_command(subparsers, "where", says="show every path that is used on this machine", examples=EXAMPLES)


def run(args: argparse.Namespace) -> int:
    """Print the paths; nothing is made."""
    from dataclasses import fields

    from trainer.library import folder
    from trainer.places import places
    from trainer.reports.as_json import as_text

    here = places()
    paths = {field.name: getattr(here, field.name).absolute() for field in fields(here)} | {"library": folder()}
    if args.json:
        print(as_text({"schema": "heldline.where/1", **{name: str(path) for name, path in paths.items()}}))
        return 0
    for name, path in paths.items():
        print(fitted(f"{SAYS[name]}{'' if path.exists() else ' (not there yet)'}"))
        print(f"    {path}")
    return 0
