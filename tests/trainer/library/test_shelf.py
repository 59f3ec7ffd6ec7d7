"""The shipped exercises are found by number, title and words, quickly."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from trainer import library
from trainer.errors import ScoreError
from trainer.library import exercises, find, resolve


def refused(text: str) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        resolve(text)
    return caught.value


@pytest.mark.parametrize(
    "text",
    ["1", "01", "Ferry Bell at Low Water", "ferry bell AT low water", "  Ferry  Bell", "bell ferry", "low water"],
)
def test_an_exercise_answers_to_its_number_its_title_and_its_words(text: str) -> None:
    assert resolve(text).title == "Ferry Bell at Low Water"


def test_titles_and_numbers_find_their_own_exercise() -> None:
    for exercise in exercises()[::9]:
        assert find(exercise.title) == exercise
        assert find(str(exercise.number)) == exercise


def test_titles_and_numbers_are_given_once() -> None:
    titles = [exercise.title.lower() for exercise in exercises()]
    numbers = [exercise.number for exercise in exercises()]
    assert len(titles) == len(set(titles))
    assert numbers == list(range(1, len(numbers) + 1))


def test_near_titles_are_suggested() -> None:
    assert "Ferry Bell at Low Water" in refused("Fery Bel at Low Watter").do
    assert "Ferry Bell at Low Water" in refused("fery").do


def test_a_title_like_none_points_to_the_list() -> None:
    assert "heldline library" in refused("zzzz").do


@pytest.mark.parametrize("text", ["", " ", "999", "/no/such.mid", "no such.drill", "\x00"])
def test_what_leads_nowhere_is_refused_with_a_next_step(text: str) -> None:
    assert refused(text).do


def test_a_path_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("my.drill", "bare name"):
        (tmp_path / name).write_text("title: Mine\nalto | A4 |\n")
        assert resolve(str(tmp_path / name)).title == "Mine"
    monkeypatch.chdir(tmp_path)
    assert resolve("my.drill").title == "Mine"
    assert resolve("bare name").title == "Mine"


def test_words_that_several_titles_share_are_told_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number, title in ((1, "Low Tide"), (2, "Low Tide, Fog")):
        (tmp_path / f"0{number}-x.drill").write_text(f"title: {title}\nalto | A4 |\n")
    monkeypatch.setattr(library, "FOLDERS", (tmp_path,))
    assert resolve("low tide").title == "Low Tide"
    assert resolve("fog").title == "Low Tide, Fog"
    assert "Low Tide; Low Tide, Fog" in refused("low").do


def test_a_wheel_and_a_checkout_are_both_looked_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    installed = tmp_path / "trainer" / "_drills"
    monkeypatch.setattr(library, "FOLDERS", (installed, library.FOLDERS[1]))
    assert library.folder() == library.FOLDERS[1]
    installed.mkdir(parents=True)
    assert library.folder() == installed
    monkeypatch.setattr(library, "FOLDERS", (tmp_path / "gone",))
    assert "install heldline again" in refused("1").do


def test_the_list_comes_quickly_and_without_numpy() -> None:
    code = (
        "import sys, time; t = time.perf_counter(); from trainer.library import exercises; n = len(exercises());"
        "print(n, time.perf_counter() - t, any(m in sys.modules for m in ('numpy', 'mido', 'defusedxml', 'music21')))"
    )
    best = 9.0
    for _ in range(3):
        # the fastest of three, so that a busy machine does not decide
        printed = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        ).stdout.split()
        best = min(best, float(printed[1]))
    assert int(printed[0]) == len(exercises())
    assert printed[2] == "False"
    assert best < 0.5  # imports and all; the list alone has its own limit below
    before = time.process_time()
    exercises()
    assert time.process_time() - before < 0.1
