"""What the README promises is what there is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trainer.cli import COMMANDS
from trainer.formats.drill import read

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_job_stands_on_top_in_one_paragraph() -> None:
    blocks = README.split("\n\n")
    assert blocks[0] == "# heldline"
    assert not blocks[1].startswith(("#", "|", "*", "    "))
    assert "three voices" in " ".join(blocks[1].split())


def test_the_two_commands_are_there_and_ci_calls_the_tests_the_same_way() -> None:
    commands = [line.strip() for line in README.splitlines() if line.startswith("    ") and ".venv/bin/" in line]
    assert len(commands) == 2
    assert commands[0].endswith("heldline demo")
    assert commands[1] == "bash .ci/setup && .venv/bin/python -m pytest"
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "bash .ci/setup" in run
    assert ".venv/bin/python -m pytest" in run


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_described(command: str) -> None:
    assert re.search(rf"\| `heldline {command}\b", README)


def test_the_example_exercise_reads_and_sounds_as_it_says() -> None:
    text = README.split("top voice first:\n\n")[1].split("\n\nThe words")[0]
    score = read("\n".join(line[4:] for line in text.splitlines()).encode(), "README.md")
    assert score.title == "Two Oars"
    assert [str(n.pitch) for n in score.lines[0].notes] == ["A4", "G4", "F4", "E4", "C#4", "D4"]
    assert [n.length_quarters for n in score.lines[0].notes] == [4, 4, 4, 4, 2, 4]
    assert score.lines[0].notes[4].breath_after
