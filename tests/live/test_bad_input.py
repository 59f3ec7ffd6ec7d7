"""What can be wrong with devices and disks, each in a process with a time limit: one clear message, the right exit status, nothing lost."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
import servers
from full_disk import nearly_full
from live_stage import SCORE, table_of

SING = ("sing", SCORE, "--voice", "tenor", "--tempo", "240", "--look-through", "0", "--bars", "1-4")
UNSOUNDED = (*SING, "--silent")
"""Begins with its count, five seconds sooner: where what is sounded is of no matter."""
BLOCKED = """
import sys
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name in {names!r}:
            raise OSError("PortAudio library not found") if name == "sounddevice" else ImportError(name)
sys.meta_path.insert(0, Blocked())
from trainer.cli import main
sys.exit(main(sys.argv[1:]))
"""


def ended(env: dict[str, str], *words: object, seconds: float = 60) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *(str(word) for word in words)],
        env=env,
        capture_output=True,
        text=True,
        timeout=seconds,
        stdin=subprocess.DEVNULL,
        check=False,
    )


def one_message(done: subprocess.CompletedProcess[str], status: int) -> None:
    assert done.returncode == status, done.stderr
    assert done.stderr.count("heldline: ") == 1, done.stderr
    assert len(done.stderr.strip().splitlines()) <= 3
    for noise in ("Traceback", "ALSA", "jack server", "Expression"):
        assert noise not in done.stderr


@pytest.mark.parametrize("words", [SING, ("key", SCORE, "--voice", "tenor")])
def test_no_server_and_no_device_is_one_message(there: None, tmp_path: Path, words: tuple[str, ...]) -> None:
    with servers.nothing_there() as server:
        done = ended({**server.env, "HELDLINE_HOME": str(tmp_path)}, "-m", "trainer", *words)
    one_message(done, 3)
    assert "--input" in done.stderr


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
@pytest.mark.parametrize("option", ["--input-device", "--output-device"])
def test_an_unknown_device_is_named_with_those_that_there_are(stage, option: str) -> None:
    env = {**stage.server.env, "HELDLINE_HOME": str(stage.home)}
    done = ended(env, "-m", "trainer", *SING, option, "Theremin")
    one_message(done, 3)
    assert "Theremin" in done.stderr
    assert "heldline_" in done.stderr


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_a_microphone_of_exact_zeros_is_told_while_it_runs_and_nothing_is_heard(stage) -> None:
    process = stage.heldline(*UNSOUNDED, "--plain")
    out, err = process.communicate(timeout=60)
    assert process.returncode == 5, err
    assert "Microphone: The microphone sends perfect silence" in out


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_two_devices_by_name_are_sung_with(stage) -> None:
    status, live, err = table_of(
        stage.heldline(*SING[:-1], "1-2", "--input-device", "heldline_mic", "--output-device", "pulse", "--json")
    )
    assert status == 5, err
    assert live["status"] == "nothing heard"


@pytest.mark.parametrize("stage", ["pulse", "jack"], indirect=True)
def test_a_server_that_dies_in_a_take_is_told_the_take_is_kept_and_nothing_hangs(stage) -> None:
    process = stage.heldline(*SING, "--plain")
    lines = []
    for line in process.stdout:
        lines.append(line)
        if line.startswith("Bar 2"):
            stage.server.kill()
            began = time.monotonic()
            break
    out, err = process.communicate(timeout=20)
    assert time.monotonic() - began < 8
    assert process.returncode in (0, 5), err
    assert "the take so far is judged and kept" in "".join(lines) + out
    assert "kept as take 1" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_a_full_disk_costs_the_keeping_and_not_the_verdict(stage, tmp_path: Path) -> None:
    small = tmp_path / "small"
    with nearly_full(small, room_pages=1):
        process = stage.begin("-c", f"import os; os.environ['HELDLINE_HOME'] = {str(small)!r}\nimport sys\n"
                              "from trainer.cli import main\nsys.exit(main(sys.argv[1:]))", *UNSOUNDED, "--json")  # fmt: skip
        status, live, err = table_of(process)
    assert status == 5, err
    assert len(live["beats"]) == 16
    assert "disk" in err


@pytest.mark.parametrize(
    ("names", "words", "told"),
    [(("sounddevice",), SING, "PortAudio"), (("rtmidi", "mido"), ("key", SCORE, "--voice", "tenor"), "python-rtmidi")],
)
def test_a_missing_library_is_one_sentence(there: None, tmp_path: Path, names, words, told: str) -> None:
    # the children that hold the devices inherit the block through a module that Python runs at every start
    (tmp_path / "sitecustomize.py").write_text(
        BLOCKED.format(names=names).partition("from trainer.cli")[0], encoding="utf-8"
    )
    with servers.nothing_there() as server:
        env = {**server.env, "HELDLINE_HOME": str(tmp_path / "home")}
        env["PYTHONPATH"] = f"{tmp_path}:{env['PYTHONPATH']}"
        done = ended(env, "-m", "trainer", *words)
    one_message(done, 3)
    assert told in done.stderr
