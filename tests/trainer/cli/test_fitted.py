"""What is printed beside a report fits the terminal it is read on, and stays whole for a program."""

from __future__ import annotations

import sys

import pytest

from audio.devices.finding import Found
from trainer.cli import main
from trainer.cli._fitted import fitted

Capture = pytest.CaptureFixture[str]


def narrow(monkeypatch: pytest.MonkeyPatch, columns: int = 60) -> None:
    """A terminal of so many columns, from now on."""
    monkeypatch.setenv("COLUMNS", str(columns))
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


@pytest.mark.parametrize(
    "words",
    [
        ["singable", "1"],
        ["ladder", "1", "--voice", "tenor", "--list"],
        ["sectional", "1", "--voice", "alto", "--list"],
        ["library", "--voice", "tenor", "--level", "3"],
        ["warmup", "--compass", "A2-E4"],
        ["takes", "purge", "--dry-run"],
        ["soundcheck", "--list"],
        ["check", "--list"],
        ["tally"],
        ["takes"],
    ],
)
def test_in_forty_columns_no_word_is_broken(words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    here = Found(missing=("there is no microphone and no sound output here",), missing_next=("plug one in",))
    monkeypatch.setattr("audio.devices.found", lambda: here)
    narrow(monkeypatch, 40)
    main(words)
    lines = capsys.readouterr().out.splitlines()
    assert lines
    assert max(map(len, lines)) <= 40


def test_a_path_is_on_a_line_of_its_own_and_never_broken(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture, own_home: object
) -> None:
    narrow(monkeypatch)
    assert main(["where"]) == 0
    assert f"    {own_home}/takes.db" in capsys.readouterr().out.splitlines()


def test_for_a_program_lines_stay_whole() -> None:
    told = "so many words that no terminal of eighty columns could hold them all, " * 3
    assert fitted(told) == told
