"""compose on the command line: files as asked for, correct by check, and every bad wish answered in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trainer.cli import main
from trainer.formats import read_path

ASK = ["compose", "--parts", "3", "--species", "4", "--cantus", "bass", "--line", "alto"]


def test_a_drill_is_written_that_check_calls_correct(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "tied.drill"
    assert main([*ASK, "--mode", "phrygian", "-o", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["schema"], told["file"], told["parts"]) == ("heldline.compose/1", str(path), 3)
    assert main(["check", str(path), "--json"]) == 0
    checked = json.loads(capsys.readouterr().out)
    assert checked["correct"]
    assert checked["species"] == {"1": "1", "2": "4", "3": "cantus"}


def test_musicxml_holds_the_same_music_as_drill_text(tmp_path: Path) -> None:
    for ending in ("drill", "musicxml"):
        assert main([*ASK, "--seed", "5", "-o", str(tmp_path / f"a.{ending}"), "-q"]) == 0
    assert read_path(tmp_path / "a.drill").digest() == read_path(tmp_path / "a.musicxml").digest()


def test_a_folder_gets_so_many_and_the_same_seed_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert main([*ASK, "--count", "2", "--seed", "9", "-o", str(tmp_path / name), "-q"]) == 0
    first, second = (sorted((tmp_path / name).iterdir()) for name in ("one", "two"))
    assert [path.name for path in first] == [path.name for path in second]
    assert len({path.read_bytes() for path in first}) == 2
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]


def test_the_voice_to_sing_may_be_another_than_the_moving_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.drill"
    assert main([*ASK, "--sing", "soprano", "-o", str(path), "-q"]) == 0
    assert read_path(path).fact("sing") == "soprano"
    assert main(["check", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["species"]["2"] == "4"


def test_an_aim_is_kept_and_each_exercise_is_graded_and_called_by_a_title_of_its_own(tmp_path: Path) -> None:
    wishes = ["--for", "clash, level 5-9", "--count", "2", "--seed", "4"]
    assert main([*ASK, *wishes, "-o", str(tmp_path / "aimed"), "-q"]) == 0
    scores = [read_path(path) for path in sorted((tmp_path / "aimed").iterdir())]
    assert len({score.title for score in scores}) == 2
    for score in scores:
        assert 5 <= int(score.fact("level")) <= 9
        assert "clash" in score.fact("crux")
        assert score.fact("compass")


def test_without_an_aim_exercises_are_graded_and_named_too(tmp_path: Path) -> None:
    assert main([*ASK, "--count", "2", "-o", str(tmp_path), "-q"]) == 0
    scores = [read_path(path) for path in sorted(tmp_path.iterdir())]
    assert all(score.fact("level") and score.fact("crux") for score in scores)
    assert len({score.title for score in scores}) == 2
    assert main([*ASK, "--title", "Mine", "-o", str(tmp_path / "a.drill"), "-q"]) == 0
    assert read_path(tmp_path / "a.drill").title == "Mine"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--parts", "5"], ["5 parts", "2, 3 or 4"]),
        (["--for", "steps only, big leap"], ["'steps only' clashes with 'big leap'", "give up"]),
        (["--for", "level 12", "--species", "1"], ["level 12 clashes", "levels"]),
        (["--for", "clsh"], ["'clsh' is not a wish", "did you mean clash"]),
        (["--for", "sixths x99999"], ["'sixths x99999' is not a wish", "weights are x1 to x9"]),
        (["--cantus", "tenor"], ["--cantus\n"]),
        (["--line", "bass"], ["bass", "both the cantus and the moving line", "soprano, alto", "--cantus, --line"]),
        (["--line", "tenor"], ["no tenor", "soprano, alto, bass"]),
        (["--species", "6"], ["'6' is not a species", "combined"]),
        (["--length", "-3"], ["-3 notes", "4 to 40", "--length"]),
        (["--mode", "locrian"], ["locrian", "dorian"]),
        (["--final", "H"], ["'H' is not a final"]),
        (["--final", "Cb"], ["dorian on Cb", "B sounds the same"]),
        (
            ["--cantus", "soprano", "--final", "B", "--mode", "mixolydian", "--melody", "fux-g"],
            ["final B", "soprano's compass", "nearest final"],
        ),
        (["--sevenths"], ["sevenths clash with 3 parts"]),
        (["--melody", "fux-e"], ["fux-e is phrygian, not dorian"]),
        (["--melody", "fux-x"], ["no cantus called fux-x"]),
        (["--compass", "bass=C3..E3"], ["the bass cannot move between C3 and E3"]),
        (["--compass", "bass"], ["is not a compass"]),
        (["--count", "0"], ["0 exercises"]),
        (["--seed", "-1"], ["a seed of -1"]),
        (["--rules", "gregorian"], ["no rule set gregorian"]),
    ],
)
def test_a_bad_wish_is_answered_by_what_clashes_and_what_can_be_had(
    more: list[str], words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*ASK, *more, "-o", str(tmp_path / "a.drill")]) == 2
    told = capsys.readouterr().err
    assert [word for word in words if word not in told] == []
    assert not list(tmp_path.iterdir())


CANTUS = "title: own\nmode: D dorian\n\nbass | {} |\n"


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        ("D3 | A3 | E4 | D | C | A | F | E | D", ["faults of its own", "bar 1", "two leaps up running"]),
        ("D3 | E | F | B | A | F | E | D", ["faults of its own", "F3 to B3 is an augmented fourth up"]),
        ("F3 | G | A | F | G | F | E | D", ["begins on F3 and ends on D3"]),
        ("D3 | F | E | G | F | A | F | D", ["leaps from F3"]),
        ("D3 | E | D", ["a cantus of 3 notes"]),
    ],
)
def test_faults_in_a_cantus_of_ones_own_are_named(
    notes: str, words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "own.drill").write_text(CANTUS.format(notes))
    assert main([*ASK, "--melody", str(tmp_path / "own.drill"), "-o", str(tmp_path / "a.drill")]) == 2
    told = capsys.readouterr().err
    assert [word for word in words if word not in told] == []


def test_a_cantus_of_ones_own_is_set_as_it_stands(tmp_path: Path) -> None:
    (tmp_path / "own.drill").write_text(CANTUS.format("D3 | F | E | G | F | A | G | F | E | D"))
    path = tmp_path / "a.drill"
    assert main([*ASK, "--melody", str(tmp_path / "own.drill"), "-o", str(path), "-q"]) == 0
    assert [str(note.pitch) for note in read_path(path).lines[2].notes] == [
        "D3",
        "F3",
        "E3",
        "G3",
        "F3",
        "A3",
        "G3",
        "F3",
        "E3",
        "D3",
    ]


def test_what_nobody_can_set_is_given_up_with_what_can_be_had(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    narrow = ["--compass", "soprano=E4..C5", "--final", "D", "--melody", "fux-d"]  # no D to end on
    two = ["compose", "--parts", "2", "--species", "1", "--cantus", "bass", "--line", "soprano"]
    assert main([*two, *narrow, "-o", str(tmp_path / "a.drill")]) == 2
    told = capsys.readouterr().err
    assert "no exercise was found that keeps every rule" in told
    assert "within the usual compasses there is one" in told


def test_rules_that_contradict_each_other_are_answered_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from trainer.rules.ruleset import shipped_text

    # every move a step, and a step more than there are moves
    table = shipped_text("strict16").replace(
        "step-share                                S S S", "step-share F F F least=1:101"
    )
    rules = tmp_path / "steps.rules"
    rules.write_text(table)
    wish = ["compose", "--parts", "2", "--species", "1", "--cantus", "bass", "--line", "soprano", "--melody", "fux-d"]
    assert main([*wish, "--rules", str(rules), "-o", str(tmp_path / "a.drill")]) == 2
    assert "there is one" in capsys.readouterr().err
