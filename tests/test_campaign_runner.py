"""The runner of campaigns goes on where it stopped, and writes down every failure with its seed."""

from __future__ import annotations

import io
import json
import os
import runpy
import subprocess
import sys
import time
from itertools import count
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def runner() -> dict[str, Any]:
    return runpy.run_path(str(ROOT / "tests" / "campaign" / "run.py"))


def test_the_next_run_begins_after_the_highest_seed_even_when_the_last_line_was_cut(
    runner: dict[str, Any], tmp_path: Path
) -> None:
    first = runner["FIRST_SEED"]
    assert runner["next_seed"](tmp_path, "verdicts") == first
    (tmp_path / "verdicts-a.jsonl").write_text(
        f'{{"campaign": "verdicts"}}\n{{"seed": {first + 4}}}\n', encoding="utf-8"
    )
    (tmp_path / "verdicts-b.jsonl").write_text(f'{{"seed": {first + 9}}}\n{{"seed": {first + 50}', encoding="utf-8")
    (tmp_path / "readers-a.jsonl").write_text(f'{{"seed": {first + 99}}}\n', encoding="utf-8")
    assert runner["next_seed"](tmp_path, "verdicts") == first + 10


class Brittle:
    """Fails on every third seed, raises on every fifth."""

    count = 0

    def attempt(self, seed: int) -> dict[str, Any]:
        if seed % 5 == 0:
            raise OSError("the disk is full")
        return {"failure": "a third"} if seed % 3 == 0 else {"fine": True}


def test_a_failure_and_a_crash_are_both_written_down_with_their_seed(
    runner: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter(range(1000))
    monkeypatch.setattr(time, "monotonic", lambda: float(next(clock)))  # three looks at the clock an attempt
    campaign, out = Brittle(), io.StringIO()
    failed = runner["attempts"](campaign, out, count(1), until=18.0)
    rows = [json.loads(line) for line in out.getvalue().splitlines()]
    assert [row["seed"] for row in rows] == list(range(1, campaign.count + 1))
    assert campaign.count == 6
    assert [row["seed"] for row in rows if "failure" in row] == [3, 5, 6]
    assert failed[1] == "seed 5: OSError: the disk is full"


@pytest.mark.parametrize("name", ["verdicts", "nobody", "readers", "killed"])
def test_every_campaign_has_what_the_runner_asks_for(name: str, runner: dict[str, Any]) -> None:
    assert name in runner["CAMPAIGNS"]
    campaign = runpy.run_path(str(ROOT / "tests" / "campaign" / f"{name}.py"))["Campaign"]
    assert callable(campaign.attempt)
    assert callable(campaign.summary)


class Sated:
    """Wants three attempts."""

    count = 0

    def attempt(self, seed: int) -> dict[str, Any]:
        return {"fine": seed}

    @property
    def whole(self) -> bool:
        return self.count >= 3


def test_a_campaign_that_has_all_it_was_asked_for_ends_before_its_time(runner: dict[str, Any]) -> None:
    campaign, out = Sated(), io.StringIO()
    assert runner["attempts"](campaign, out, range(100), until=float("inf")) == []
    assert len(out.getvalue().splitlines()) == 3


def test_verdicts_sings_only_takes_with_a_fault_that_is_still_wanted(runner: dict[str, Any], tmp_path: Path) -> None:
    told = runpy.run_path(str(ROOT / "tests" / "campaign" / "verdicts.py"))
    voices, kinds = told["VOICES"], told["KINDS"]
    rows = [{"condition": "quiet", "voice": voice, "kind": kind} for voice in voices for kind in kinds]
    (tmp_path / "verdicts-a.jsonl").write_text(json.dumps({"rows": 2 * rows[1:]}) + '\n{"rows": [', encoding="utf-8")
    campaign = told["Campaign"](tmp_path, only="quiet", notes="2", earlier=str(tmp_path))
    lacking = [row for row in rows if campaign.wants((row["condition"], row["voice"], row["kind"]))]
    assert lacking == rows[:1]
    assert not campaign.whole
    bass_in_quiet, soprano_in_noise = 9, 1
    assert campaign.attempt(bass_in_quiet) == {"passed over": "quiet"}
    assert campaign.attempt(soprano_in_noise) == {"passed over": "pink noise 10 dB"}
    campaign.sung.update([("quiet", voices[0], kinds[0])] * 2)
    assert campaign.whole


def test_two_runs_at_once_have_a_core_each() -> None:
    script = (
        f"import runpy; runpy.run_path({str(ROOT / 'tests' / 'campaign' / 'run.py')!r}); import psutil, numpy as np;"
    )
    script += "np.ones((900, 900)) @ np.ones((900, 900)); print(psutil.Process().num_threads())"
    free = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    done = subprocess.run([sys.executable, "-c", script], env=free, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["1"]


def test_results_are_kept_out_of_the_repository() -> None:
    assert "tests/campaign/results/" in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
