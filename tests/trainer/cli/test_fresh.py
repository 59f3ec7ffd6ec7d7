"""Music that nobody has sung: sounded, sung, kept with its take, and sung again."""

from __future__ import annotations

from pathlib import Path

import pytest
from heldline_command import heldline

NEW = ("--fresh", "--level", "2", "--seed", "3")


@pytest.fixture
def own_line(tmp_path: Path) -> tuple[Path, str]:
    """The line to sing of one new exercise, sounded into a file; and the exercise's title."""
    path = tmp_path / "line.wav"
    told = heldline("hear", *NEW, "--tempo", "240", "-o", path)
    assert told.status == 0
    title, voice = told.err.partition("new: ")[2].partition(", level 2, for the ")[::2]
    done = heldline("hear", *NEW, "--tempo", "240", "--only", voice.partition(";")[0], "-o", path)
    assert done.status == 0
    return path, title


def test_a_new_exercise_is_sung_kept_and_sung_again_from_the_log(own_line: tuple[Path, str]) -> None:
    path, title = own_line
    options = ("--input", path, "--alone", "--tempo", "240", "--json")
    first = heldline("sing", *NEW, *options)
    assert first.status == 0
    assert first.table["score"]["title"] == title
    assert first.table["result"]["held"] == first.table["result"]["notes"] > 5
    assert heldline("sing", "--again", *options).out == first.out
    assert heldline("sing", "--again", "1", *options).out == first.out


def test_the_way_to_the_same_exercise_is_told_and_leads_there(tmp_path: Path) -> None:
    told = heldline("hear", "--fresh", "-o", tmp_path / "a.wav", "--tempo", "240").err
    again = told.partition("the same again: ")[2].split()
    assert again[:2] == ["--fresh", "--level"]
    assert "--seed" in again
    assert heldline("hear", *again, "-o", tmp_path / "b.wav", "--tempo", "240").err == told
    assert (tmp_path / "a.wav").read_bytes() == (tmp_path / "b.wav").read_bytes()


def test_the_level_is_learnt_from_what_was_held_and_an_option_or_a_setting_goes_before(
    own_line: tuple[Path, str], tmp_path: Path
) -> None:
    assert heldline("sing", *NEW, "--input", own_line[0], "--tempo", "240").status == 0
    new = ("hear", "--fresh", "--seed", "5", "--tempo", "240", "-o", tmp_path / "a.wav")
    told = heldline(*new).err
    assert "level 2-3: your last take was clean at level 2 (--level N for another)" in told
    assert "--fresh --level 2-3 --seed 5" in told
    assert "last take" not in heldline(*new, "--level", "4").err
    assert heldline("settings", "set", "level", "4").status == 0
    assert "last take" not in heldline(*new).err


def test_the_usual_level_is_a_setting(tmp_path: Path) -> None:
    assert heldline("settings", "set", "level", "7-8").status == 0
    told = heldline("hear", "--fresh", "--seed", "5", "-o", tmp_path / "a.wav", "--tempo", "240").err
    assert "level 7," in told or "level 8," in told
    assert heldline("settings", "set", "level", "13").status == 2


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("sing", "1", "--fresh", "--input", "x.wav"), "more than one answer"),
        (("sing", "--again", "--fresh", "--input", "x.wav"), "more than one answer"),
        (("key", "1", "--level", "3", "--input", "x.mid"), "--level is for new music"),
        (("hear", "1", "--seed", "3", "-o", "x.wav"), "--seed is for new music"),
        (("sing", "--input", "x.wav"), "SCORE is missing"),
        (("key", "--input", "x.mid"), "SCORE is missing"),
        (("hear", "-o", "x.wav"), "SCORE is missing"),
        (("sing", "--fresh", "--level", "0", "--input", "x.wav"), "'0' is not a level"),
        (("sing", "--fresh", "--seed", "-1", "--input", "x.wav"), "is not a seed"),
        (("sing", "--fresh", "--voice", "2", "--input", "x.wav"), "not a voice of new music"),
        (("sing", "--fresh", "--level", "1", "--voice", "tenor", "--input", "x.wav"), "clashes with the voice tenor"),
        (("sing", "--again", "--input", "x.wav"), "no take is kept yet"),
    ],
)
def test_what_cannot_be_is_told_with_a_next_step(words: tuple[str, ...], told: str) -> None:
    done = heldline(*words)
    assert done.status == 2
    assert told in done.err
    assert len(done.err.strip().splitlines()) == 3


def test_a_take_that_is_not_kept_cannot_be_sung_again(own_line: tuple[Path, str]) -> None:
    path, _ = own_line
    assert heldline("sing", *NEW, "--input", path, "--alone", "--tempo", "240", "--json").status == 0
    done = heldline("sing", "--again", "77", "--input", path)
    assert done.status == 4
    assert "no take 77" in done.err


def test_a_live_take_gets_the_new_music_and_its_voice() -> None:
    from trainer.cli._live import wish_of
    from trainer.cli._parser import parse

    wish = wish_of(parse(["sing", *NEW, "-q"]))
    assert wish.score.voice_names()[wish.line_index] == wish.score.fact("sing")
    keyed = parse(["key", *NEW, "-q"])
    # as the command does: keys have no microphone
    keyed.own_octave = keyed.guide = keyed.keep_sound = keyed.lead = None
    assert wish_of(keyed).score == wish.score
