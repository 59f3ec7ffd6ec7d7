"""Where a device is missing, whichever command misses it names itself, and what can be done without, in words that can be typed."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest

import audio.devices
from audio.devices._translate import midi_error, sound_error
from audio.devices.finding import Found
from trainer.cli import main
from trainer.cli._instead import WITHOUT
from trainer.cli._parser import build_parser

FERRY = ["Ferry Bell at Low Water", "--voice", "tenor"]
ASKED = {
    "sing": FERRY,
    "key": FERRY,
    "ladder": FERRY,
    "drill": [*FERRY, "--bars", "9-10"],
    "tune": FERRY,
    "warmup": [],
    "sectional": FERRY,
    "soundcheck": [],
    "hear": FERRY[:1],
    "review": ["--hear", "1"],
}


@pytest.fixture(autouse=True)
def nothing_plugged_in(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_sound(*_: object, **__: object) -> None:
        raise sound_error({"trouble": "none", "direction": "input"})

    def no_keys(*_: object, **__: object) -> None:
        raise midi_error({"trouble": "none"}, "input", None)

    monkeypatch.setattr(audio.devices, "open_sound", no_sound)
    monkeypatch.setattr(audio.devices, "open_keys", no_keys)
    monkeypatch.setattr(
        audio.devices, "found", lambda: Found(missing=("there is no sound here",), missing_next=("plug one in",))
    )


@pytest.mark.parametrize("command", WITHOUT)
def test_the_command_names_itself_and_what_it_can_do_without(
    command: str, score: Path, good: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if command == "review":
        assert main(["sing", str(score), "--voice", "soprano", "--input", str(good), "-q"]) == 0
    capsys.readouterr()
    assert main([command, *ASKED[command]]) == 3
    told = capsys.readouterr().err.splitlines()
    assert re.fullmatch("heldline: there is no (microphone|sound|MIDI keyboard) here", told[0])
    assert told[1] == f"  heldline {command}"
    assert len(told) == 3
    assert told[2].endswith(f"; without one: {WITHOUT[command]}")


def test_the_first_minute_names_what_needs_no_device(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sing"]) == 3
    assert WITHOUT["sing"] in capsys.readouterr().err


def test_what_is_offered_can_be_typed() -> None:
    parsers = next(
        action.choices for action in build_parser()._actions if isinstance(action, argparse._SubParsersAction)
    )
    for command, offer in WITHOUT.items():
        named = command
        for word in re.findall(r"heldline [a-z]+|(?<!\S)--?[a-z-]+", offer):
            if word.startswith("heldline"):
                named = word.split()[1]
                assert named in parsers
            else:
                assert word in parsers[named]._option_string_actions, (command, named, word)
