"""What hear puts before the music moves bar 1, and says to where."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile
from heldline_command import heldline

from trainer.cli import main


def heard(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["hear", "Ferry Bell at Low Water", "--without", "tenor", "--tempo", "240", "--json", *words]) == 0
    table: dict[str, object] = json.loads(capsys.readouterr().out)
    return table


def test_chord_first_note_and_count_in_come_before_bar_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(tmp_path / "a.wav")
    plain = heard(capsys, "-o", out)
    counted = heard(capsys, "--count-in", "1", "-o", out)
    all_of_it = heard(capsys, "--count-in", "1", "--key-chord", "--first-note", "tenor", "-o", out)
    assert plain["starts_at_s"] == 0
    assert counted["starts_at_s"] == pytest.approx(1.0)  # four quarters at 240 a minute
    assert float(str(all_of_it["starts_at_s"])) > 2.0


def test_a_click_is_heard_and_stays_under_the_voices(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(tmp_path / "a.wav")
    heard(capsys, "-o", out)
    voices, _ = soundfile.read(out)
    heard(capsys, "--click", "-o", out)
    both, _ = soundfile.read(out)
    click = both[: len(voices)] - voices[: len(both)]
    assert 0.001 < abs(click).max() <= abs(voices).max()


def test_a_first_note_two_octaves_off_at_most(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hear", "Ferry Bell at Low Water", "--octave-shift", "3", "-o", str(tmp_path / "a.wav")]) == 2
    assert "--octave-shift" in capsys.readouterr().err


def test_only_some_bars_are_heard(tmp_path: Path) -> None:
    lengths = [
        heldline("hear", "1", "--only", "tenor", *words, "-o", tmp_path / "x.wav", "--json").table["length_s"]
        for words in ((), ("--bars", "9-10"))
    ]
    assert lengths[0] - lengths[1] == pytest.approx(9 * 4, abs=0.2)  # eleven bars of four seconds, two of them left
    assert heldline("hear", "1", "--bars", "12", "-o", tmp_path / "y.wav").status == 2
