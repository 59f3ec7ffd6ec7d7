"""The first start of all, on a real server: type ``heldline sing``, hum, sing four bars; and the same with only keys, or nothing."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
import servers
from live_stage import first_minute_of_a_singer


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_from_nothing_to_the_first_sung_note_within_a_minute(stage, tmp_path: Path) -> None:
    hum, sung = first_minute_of_a_singer(tmp_path)
    began, lines, at = time.monotonic(), [], {}
    singers = []
    with stage.heldline("sing", "--plain") as process:
        for text in process.stdout:
            lines.append(text.rstrip())
            at.setdefault(text.split(":")[0].strip(), time.monotonic() - began)
            if "Hum this" in text:
                time.sleep(2.3)  # a person answers when the note is over
                singers.append(stage.server.begin("paplay", "--device=singer", hum))
            if text.startswith("Sing"):
                singers.append(stage.server.begin("paplay", "--device=singer", "--latency-msec=20", sung))
    for singer in singers:
        servers.end(singer)
    assert process.returncode == 0, lines
    assert "Heard: A2, steady; your own octave, and I keep to it." in lines
    assert "I cannot hear my own voices. That is as it should be." in lines
    assert any("your own first note, F#2" in line or line.startswith("Now") for line in lines)
    assert at["Sing"] < 60
    assert "Held: 4 of 4 notes judged" in lines
    assert any("octave lower" in line for line in lines)
    print({name: round(seconds, 1) for name, seconds in at.items() if name in ("Here is A3. Hum this.", "Sing")})


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_who_hums_nothing_is_told_and_not_kept_waiting(stage) -> None:
    with stage.heldline("sing", "--plain") as process:
        out, _ = process.communicate(timeout=40)
    assert process.returncode == 5
    assert "perfect silence" in out


def test_with_nothing_plugged_in_it_says_what_can_be_done(there: None, tmp_path: Path) -> None:
    with servers.nothing_there() as server:
        env = {**server.env, "HELDLINE_HOME": str(tmp_path)}
        for words, status in ((["sing"], 3), ([], 0)):
            began = time.monotonic()
            done = subprocess.run(
                [sys.executable, "-m", "trainer", *words],
                env=env,
                capture_output=True,
                text=True,
                timeout=30,
                stdin=subprocess.DEVNULL,
                check=False,
            )
            assert done.returncode == status
            assert "heldline demo" in done.stdout + done.stderr
            assert "ALSA" not in done.stdout + done.stderr
            assert "Traceback" not in done.stderr
            print(words, f"{time.monotonic() - began:.2f} s")
