"""The way to help and lists touches no sound, number or screen library, so that it is quick."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {"numpy", "rich", "mido", "sounddevice", "soundfile", "soxr", "librosa", "rtmidi", "scipy", "sqlite3"}
LOOK = "import json, sys; from trainer.cli import main; status = main({words}); print('\\n' + json.dumps(sorted(sys.modules)))"


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["sing", "--help"],
        ["--version"],
        [],
        ["library"],
        ["library", "--json"],
        ["where"],
        ["settings"],
        ["sing"],
    ],
)
def test_the_start_loads_nothing_heavy(words: list[str], tmp_path: Path, pytestconfig: pytest.Config) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOOK.format(words=words)],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={"PYTHONPATH": str(pytestconfig.rootpath), "HELDLINE_HOME": str(tmp_path), "PATH": ""},
    )
    loaded = {name.partition(".")[0] for name in json.loads(done.stdout.splitlines()[-1])}
    assert not loaded & HEAVY


def test_nothing_is_made_on_the_disk_by_looking(tmp_path: Path, own_home: Path) -> None:
    from heldline_command import heldline

    for words in (["--help"], ["library"], ["where"], ["settings"], ["takes"], []):
        assert heldline(*words).status == 0
    assert not own_home.exists()
