"""What goes wrong between two days, a sentence each: a clock set back, a drill deleted, a disk that takes nothing, wishes out of bounds."""

from __future__ import annotations

import json
import shlex
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from kept_takes import keep

from trainer.cli import main
from trainer.cli._compass import known_compass
from trainer.formats import read_path
from trainer.log.singer import DaysCompass, SingerMemory
from trainer.log.store import Store
from trainer.places import places
from trainer.practice.signs import Sign

Capture = pytest.CaptureFixture[str]


def memory() -> SingerMemory:
    return SingerMemory(places().singer)


def test_a_compass_of_a_day_to_come_counts_as_todays_until_it_is_sung_anew() -> None:
    memory().reached(DaysCompass(date.today() + timedelta(days=40), 45, 60))
    assert known_compass() == DaysCompass(date.today(), 45, 60)
    memory().reached(DaysCompass(date.today(), 50, 62))
    assert known_compass() == DaysCompass(date.today(), 50, 62)


def test_an_exercise_whose_file_is_deleted_is_still_called_for(score: Path, capsys: Capture) -> None:
    with Store(places().takes) as store:
        yesterday = (datetime.now(UTC) - timedelta(days=1)).strftime("%Y-%m-%dT%H:%M:%SZ")
        keep(store, read_path(score), 0, yesterday, {1: Sign.OFF})
    score.unlink()
    assert main(["plan", "--json"]) == 0
    (weak, due) = json.loads(capsys.readouterr().out)["steps"]
    assert weak["command"] == "heldline drill --again 1 --voice soprano --bars 2"
    assert main(["ladder", *shlex.split(due["command"])[2:], "--list"]) == 0
    assert "own line with the guide" in capsys.readouterr().out
    for words in (["review"], ["takes"], ["tally"], ["review", "--why", "2.1"]):
        assert main(words) == 0
    assert "Traceback" not in capsys.readouterr().err


def test_a_home_that_is_a_file_is_told_with_the_variable_that_names_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    (tmp_path / "home").write_text("x")
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path / "home"))
    assert main(["plan"]) == 2
    told = capsys.readouterr().err
    assert told.splitlines()[0] == "heldline: what should be a folder is a file"
    assert "choose another folder with HELDLINE_HOME" in told


def test_a_disk_that_takes_nothing_costs_the_memory_and_not_the_warm_up(capsys: Capture) -> None:
    places().singer.mkdir(parents=True)  # a folder where the file should be
    assert main(["warmup", "--compass", "A2-E4"]) == 0
    told = capsys.readouterr()
    assert "Your voice today: A2 to E4" in told.out
    assert told.err.count("heldline: ") == 1
    assert "the compass cannot be remembered" in told.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--turns", "0"), "turns of 0 bars are not possible"),
        (("--turns", "17"), "turns of 17 bars are not possible"),
        (("--turns", "many"), "'many' is not a whole number"),
        (("--turns", "4", "--loop"), "turns leave no room for --loop"),
        (("--turns", "4", "--silent"), "turns leave no room for --silent"),
        (("--turns", "4", "--input", "take.wav"), "--turns is for a live take"),
        (("--up", "1", "--down", "1"), "a piece cannot be moved up and down"),
        (("--names", "hieroglyphs"), "hieroglyphs"),
    ],
)
def test_wishes_that_cannot_be_are_one_message(words: tuple[str, ...], told: str, capsys: Capture) -> None:
    assert main(["sing", "1", "--voice", "tenor", *words]) == 2
    err = capsys.readouterr().err
    assert told in err
    assert err.count("heldline: ") == 1
    assert "Traceback" not in err


@pytest.mark.parametrize("text", ['names = "runes"\n', "names = 7\n", "names = [1]\n"])
def test_names_that_nobody_knows_are_told_with_their_place(text: str, capsys: Capture) -> None:
    places().settings.parent.mkdir(parents=True, exist_ok=True)
    places().settings.write_text(text)
    assert main(["library", "show", "1"]) == 2
    err = capsys.readouterr().err
    assert "settings.toml, names" in err
    assert "fixed-do" in err
