"""What can be asked of a rehearsal without a microphone: its bars, its notes, another key, and what cannot be, in one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trainer.cli._door import guarded
from trainer.places import places

ROPE = ("sectional", "Rope over the Sluice", "--voice", "alto")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))


def told(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = guarded([*ROPE, *words])
    out, err = capsys.readouterr()
    return status, out, err


def test_the_bars_are_listed_with_why_and_a_leaders_note_is_kept_and_comes_first(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, _ = told(capsys, "--list")
    assert status == 0
    assert 1 <= len(out.splitlines()) <= 3
    assert all(line.startswith(("bar ", "bars ")) for line in out.splitlines())
    told(capsys, "--note", "2=breathe before the E flat", "--list")
    assert told(capsys, "--list")[1].startswith("bar 2: your note: breathe before the E flat")
    told(capsys, "--note", "2=", "--list")
    assert told(capsys, "--list")[1] == out


def test_bars_answer_to_an_offset_that_is_said_once(capsys: pytest.CaptureFixture[str]) -> None:
    told(capsys, "--offset", "100", "--list")
    assert told(capsys, "--bars", "105-106", "--list")[1].startswith("bars 105-106: from the beginning")
    status, out, err = told(capsys, "--bars", "5", "--list")
    assert (status, out) == (2, "")
    assert "there is no bar 5; the copies have bars 101 to 109" in err
    table = json.loads(told(capsys, "--list", "--json")[1])
    assert table["schema"] == "heldline.rehearsal/1"
    assert all(int(place["called"].partition("-")[0]) == place["first_bar"] + 100 for place in table["places"])


@pytest.mark.parametrize(
    "refused", [("--note", "4=lean on it"), ("--bars", "4"), ("--desks", "0"), ("--compass", "up"), ("--result",)]
)
def test_a_refused_command_keeps_nothing_of_what_else_it_said(
    capsys: pytest.CaptureFixture[str], refused: tuple[str, ...]
) -> None:
    before = told(capsys, "--list")
    assert told(capsys, "--offset", "100", "--note", "102=breathe", *refused, "--list")[0] == 2
    assert told(capsys, "--list") == before


def test_no_log_knows_what_is_kept_and_keeps_nothing_new(capsys: pytest.CaptureFixture[str]) -> None:
    told(capsys, "--offset", "100", "--note", "102=breathe", "--list")
    kept = told(capsys, "--list")
    assert kept[1].startswith("bar 102: your note: breathe")
    assert told(capsys, "--no-log", "--list") == kept
    more = told(capsys, "--no-log", "--offset", "200", "--note", "203=lean", "--list")[1]
    assert more.startswith("bars 202-203: in 202, your note: breathe; in 203, your note: lean")
    assert told(capsys, "--list") == kept


def test_no_log_goes_on_without_a_database_that_cannot_be_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    fresh = told(capsys, "--no-log", "--list")
    places().takes.parent.mkdir(parents=True, exist_ok=True)
    places().takes.write_bytes(b"no database" * 100)
    status, out, err = told(capsys, "--no-log", "--list")
    assert (status, out) == fresh[:2]
    assert err
    assert places().takes.read_bytes() == b"no database" * 100


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--compass", "E4-C5"), "--up 2 (in F lydian instead of Eb lydian) brings it in"),
        (("--up", "5"), "--up 2 (in F lydian instead of Ab lydian) brings it in"),
        (("--compass", "C3-E3"), "no key near brings it in"),
    ],
)
def test_a_line_outside_what_the_section_sings_is_offered_in_another_key(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    out = told(capsys, "--list", *words)[1]
    assert "outside what this section sings" in out
    assert says in out
    assert "outside" not in told(capsys, "--list")[1]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--desks", "wren,wren"), "two desks are called wren"),
        (("--desks", "0"), "0 desks are not possible"),
        (("--list", "--desks", "0"), "0 desks are not possible"),
        (("--list", "--desks", "a,a"), "two desks are called a"),
        (("--list", "--desks", "100"), "100 desks are not possible"),
        (("--list", "--count-in", "9"), "9 bars of count-in are not possible"),
        (("--note", "lean on it"), "is no note on a bar"),
        (("--note", "77=lean on it"), "there is no bar 77"),
        (("--offset", "ten"), "is not a whole number"),
        (("--result",), "this line was never rehearsed here"),
        (("--starts-at", "2"), "--starts-at is for recordings"),
        (("--input", "a.wav", "--desks", "3"), "--desks is for a rehearsal at the microphone"),
        (("--crowd", "a.wav", "--list"), "--list is for a rehearsal at the microphone"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_the_next_step(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    status, out, err = told(capsys, *words)
    assert (status, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 3


def test_where_nothing_can_be_kept_that_is_said_once(capsys: pytest.CaptureFixture[str]) -> None:
    places().takes.mkdir(parents=True)  # a folder in the way
    status, out, err = told(capsys, "--list")
    assert status == 0
    assert out.startswith("bar")
    assert err.count("heldline: ") == 1
