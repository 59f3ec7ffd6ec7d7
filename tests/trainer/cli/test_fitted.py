"""What is printed beside a report fits the terminal it is read on, and stays whole for a program."""

from __future__ import annotations

import sys

import pytest

from trainer.cli import main
from trainer.cli._fitted import fitted

Capture = pytest.CaptureFixture[str]


def narrow(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal of sixty columns, from now on."""
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)


@pytest.mark.parametrize(
    "words",
    [
        ["demo", "--list"],
        ["settings"],
        ["library", "--parts", "3", "--level", "7"],
        ["library", "show", "6"],
        ["plan"],
        ["singable", "1"],
    ],
)
def test_nothing_is_wider_than_sixty_columns(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    narrow(monkeypatch)
    assert main(words) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 60
    assert not any(line.endswith("-") for line in lines)


def test_a_path_is_on_a_line_of_its_own_and_never_broken(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture, own_home: object
) -> None:
    narrow(monkeypatch)
    assert main(["where"]) == 0
    assert f"    {own_home}/takes.db" in capsys.readouterr().out.splitlines()


def test_for_a_program_lines_stay_whole() -> None:
    told = "so many words that no terminal of eighty columns could hold them all, " * 3
    assert fitted(told) == told
