"""``sing --lines``: what may be asked for, and what is one clear sentence."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest
from heldline_command import heldline

from audio.devices.finding import Found, SoundDevice
from trainer.cli._parser import UsageError
from trainer.cli._parts import Wanted, is_live, wanted_lines

FERRY = "Ferry Bell at Low Water"


def asked(lines: str, **more: str | None) -> argparse.Namespace:
    return argparse.Namespace(**({"lines": lines, "input": None, "voice": None} | more))


def test_numbers_are_channels_of_the_microphones_or_of_one_recording_and_all_else_are_recordings() -> None:
    live = asked("soprano=1,alto=3")
    assert wanted_lines(live) == [Wanted("soprano", None, 1), Wanted("alto", None, 3)]
    assert is_live(live)
    one = asked("soprano=1,alto=2", input="all.wav")
    assert wanted_lines(one) == [Wanted("soprano", "all.wav", 1), Wanted("alto", "all.wav", 2)]
    assert not is_live(one)
    apart = asked("soprano=a.wav,alto=b.wav")
    assert wanted_lines(apart) == [Wanted("soprano", "a.wav", None), Wanted("alto", "b.wav", None)]
    assert not is_live(apart)


def test_a_name_or_a_number_before_a_channel_is_a_microphone_of_several(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    two = asked("soprano=1:1,alto=Desk mic:2")
    assert wanted_lines(two) == [Wanted("soprano", None, 1, "1"), Wanted("alto", None, 2, "Desk mic")]
    assert is_live(two)
    assert wanted_lines(asked("alto=USB: (hw:1,0):1".replace(",", ";")))[0].microphone == "USB: (hw:1;0)"
    monkeypatch.chdir(tmp_path)
    (tmp_path / "take:2").write_bytes(b"")
    assert wanted_lines(asked("alto=take:2"))[0].path == "take:2"


def test_a_recording_whose_name_is_a_number_is_a_recording(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "1").write_bytes(b"")
    assert wanted_lines(asked("soprano=1"))[0].path == "1"


@pytest.mark.parametrize(
    ("lines", "more"),
    [
        ("soprano", {}),
        ("soprano=1,alto=1", {}),
        ("soprano=0", {}),
        ("soprano=99", {}),
        ("soprano=1,alto=b.wav", {}),
        ("soprano=a.wav,alto=b.wav", {"input": "c.wav"}),
        ("soprano=1", {"voice": "alto"}),
        ("soprano=1:1,alto=2", {}),
        ("soprano=1:1,alto=1:1", {}),
        ("soprano=1:0", {}),
        ("soprano=1:1,alto=b.wav", {}),
        ("soprano=1:1", {"input": "c.wav"}),
        ("soprano=1:1", {"input_device": "Desk mic"}),
        (",".join(f"{k}={k}" for k in range(1, 10)), {}),
    ],
)
def test_lines_that_cannot_be_are_wrong_usage(lines: str, more: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        wanted_lines(asked(lines, **more))


@pytest.mark.parametrize(
    "words",
    [
        ("--lines", "soprano=1,soprano=2"),
        ("--lines", "soprano=1,oboe=2"),
        ("--lines", "soprano=1,alto=2", "--guide", "full"),
        ("--lines", "soprano=1,alto=2", "--lead", "singer"),
        ("--lines", "soprano=1,alto=2", "--starts-at", "2"),
    ],
)
def test_what_speaks_of_one_singer_is_refused_before_a_device_is_looked_for(words: tuple[str, ...]) -> None:
    done = heldline("sing", FERRY, *words)
    assert done.status == 2
    assert len(done.err.strip().splitlines()) == 3


def test_one_channel_of_one_device_by_number_and_by_name_is_one_clear_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    here = Found(inputs=(SoundDevice("Desk mic", "ALSA", 2, 48_000),))
    monkeypatch.setattr("audio.devices.found", lambda: here)
    done = heldline("sing", FERRY, "--lines", "soprano=1:1,alto=Desk:1")
    assert (done.status, done.out) == (2, "")
    assert "1 and Desk are the same microphone, and channel 1 of it is named twice" in done.err
