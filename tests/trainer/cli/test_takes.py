"""review, takes, settings, where: what is kept and how it is looked at again."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from heldline_command import heldline, heldline_child

from trainer.places import places


@pytest.fixture
def kept(score: Path, good: Path) -> str:
    """One kept take; its JSON."""
    done = heldline("sing", score, "--voice", "soprano", "--input", good, "--json")
    assert done.status == 0
    return done.out


def test_review_is_the_verdict_again_byte_for_byte(kept: str) -> None:
    assert heldline("review", "--json").out == kept
    assert heldline("review", "1", "--json").out == kept


def test_review_under_other_settings_leaves_the_first_verdict(kept: str) -> None:
    other = heldline("review", "--json", "--tolerance", "3", "--against", "pure").table
    assert other["settings"]["tolerance_cents"] == 3
    assert heldline("review", "--json").out == kept


def test_review_why_tells_the_numbers(kept: str) -> None:
    done = heldline("review", "--why", "2.1")
    assert done.status == 0
    assert "B4" in done.out
    assert "because" in done.out
    told = heldline("review", "--why", "2.1", "--json").table
    assert told["lines"][0]["voice"] == "soprano"
    assert heldline("review", "--why", "9.1").status == 2


def test_review_without_any_take_says_what_to_do() -> None:
    done = heldline("review")
    assert done.status == 2
    assert "no take is kept yet" in done.err


def test_a_take_that_is_not_there_is_told(kept: str) -> None:
    done = heldline("review", "77")
    assert done.status == 4
    assert "no take 77" in done.err


def test_the_list_shows_what_each_take_came_to(kept: str) -> None:
    assert "Two Bars Only, soprano: 2 of 2 held" in heldline("takes").out
    table = heldline("takes", "list", "--json").table
    assert table["takes"][0]["lines"][0]["held"] == 2
    assert heldline("takes").out.isascii()


def test_undo_and_back(kept: str) -> None:
    assert heldline("takes", "undo").status == 0
    assert "No take is kept yet" in heldline("takes").out
    assert heldline("review").status == 2
    assert heldline("takes", "back").status == 0
    assert heldline("review", "--json").out == kept
    assert heldline("takes", "back").status == 2
    assert heldline("takes", "undo", "1", "--json").table["removed"] == [1]


def test_takes_judged_anew_keep_both_verdicts(kept: str) -> None:
    table = heldline("takes", "again", "--json", "--octave", "strict", "--a", "466").table
    (row,) = table["takes"]
    assert row["before"][0]["held"] == 2
    assert row["after"][0]["held"] == 0
    from trainer.log.store import Store

    with Store(places().takes) as store:
        assert [told.a4_hz for _, told, _ in store.verdicts(1)] == [440.0, 466.0]
    assert heldline("review", "--json").out == kept
    assert "as before" in heldline("takes", "again").out


def test_purge_asks_and_a_pipe_cannot_answer(kept: str) -> None:
    done = heldline_child("takes", "purge")
    assert done.status == 2
    assert done.err.startswith("heldline: 1 take would be deleted for good")
    assert "--yes" in done.err
    assert heldline("takes", "purge", "--dry-run").out.startswith("1 take")
    assert len(heldline("takes", "--json").table["takes"]) == 1


@pytest.mark.parametrize(("answer", "left"), [("yes\n", 0), ("no\n", 1), ("", 1)])
def test_purge_deletes_only_after_a_yes(kept: str, answer: str, left: int, monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr("sys.stdin", Terminal(answer))
    heldline("takes", "purge")
    assert len(heldline("takes", "--json").table["takes"]) == left


def test_purge_leaves_nothing_of_the_take_anywhere(score: Path, good: Path, own_home: Path) -> None:
    heldline("sing", score, "--voice", "soprano", "--input", good, "--keep-sound")
    assert heldline("takes", "purge", "--yes", "--json").table["deleted"] == 1
    for path in own_home.rglob("*"):
        if path.is_file():
            assert b"Two Bars Only" not in path.read_bytes()
    assert not [path for path in own_home.rglob("*") if path.is_file() and path.name != "takes.db"]


def test_where_prints_every_path(own_home: Path) -> None:
    table = heldline("where", "--json").table
    assert table["takes"] == str(own_home / "takes.db")
    assert all(str(own_home) in table[name] for name in ("settings", "takes", "sound", "running"))
    assert str(own_home / "takes.db") in heldline("where").out


def test_where_follows_the_systems_own_folders(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("HELDLINE_HOME")
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    table = heldline("where", "--json").table
    assert table["settings"] == str(tmp_path / "XDG_CONFIG_HOME" / "heldline" / "settings.toml")
    assert table["takes"] == str(tmp_path / "XDG_DATA_HOME" / "heldline" / "takes.db")
    assert table["running"] == str(tmp_path / "XDG_STATE_HOME" / "heldline" / "running")


def origin(name: str) -> tuple[object, str]:
    told = heldline("settings", "--json").table["settings"][name]
    return told["value"], told["from"]


def test_option_outweighs_surroundings_outweigh_the_folder_outweighs_the_user(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, own_home: Path, score: Path, good: Path
) -> None:
    assert origin("tolerance") == (25, "default")
    heldline("settings", "set", "tolerance", "learner")
    assert origin("tolerance") == (35, str(own_home / "settings.toml"))
    (tmp_path / "heldline.toml").write_text('tolerance = "fine"\n')
    assert origin("tolerance") == (15, "heldline.toml")
    monkeypatch.setenv("HELDLINE_TOLERANCE", "40")
    assert origin("tolerance") == (40, "HELDLINE_TOLERANCE")
    words = ("sing", score, "--voice", "soprano", "--input", good, "--json")
    assert heldline(*words).table["settings"]["tolerance_cents"] == 40
    assert heldline(*words, "--tolerance", "50").table["settings"]["tolerance_cents"] == 50


def test_setting_one_keeps_what_the_user_wrote(own_home: Path) -> None:
    own_home.mkdir()
    path = own_home / "settings.toml"
    path.write_text('# mine\noctave = "free"  # for Dunlin\n\n[other]\ntolerance = 3')
    heldline("settings", "set", "tolerance", "fine")
    heldline("settings", "set", "plain", "yes")
    assert path.read_text() == (
        '# mine\noctave = "free"  # for Dunlin\n\ntolerance = 15\nplain = true\n[other]\ntolerance = 3\n'
    )
    heldline("settings", "unset", "tolerance")
    assert origin("tolerance") == (25, "default")
    assert origin("octave")[0] == "free"


@pytest.mark.parametrize(
    "content", [b"tolerance = ", b"\xff\xfe", b'tolerance = "huge"\n', b"tolerance = 99\n", b"log = 7\n"]
)
def test_a_settings_file_that_makes_no_sense_is_told_with_its_place(own_home: Path, content: bytes) -> None:
    own_home.mkdir()
    (own_home / "settings.toml").write_bytes(content)
    done = heldline("settings")
    assert done.status == 2
    assert "settings.toml" in done.err
    assert (own_home / "settings.toml").read_bytes() == content


def test_a_settings_file_that_is_not_toml_is_not_written_over(own_home: Path) -> None:
    own_home.mkdir()
    (own_home / "settings.toml").write_text("tolerance = \n")
    assert heldline("settings", "set", "octave", "free").status == 2
    assert (own_home / "settings.toml").read_text() == "tolerance = \n"


def test_a_log_that_is_off_keeps_nothing(score: Path, good: Path) -> None:
    heldline("settings", "set", "log", "no")
    heldline("sing", score, "--voice", "soprano", "--input", good)
    assert not places().takes.exists()


def test_library_says_what_each_exercise_is() -> None:
    (first, *_) = heldline("library", "--json").table["exercises"]
    assert first["title"] == "Ferry Bell at Low Water"
    assert set(first) >= {"title", "parts", "species", "mode", "cantus", "sing", "level", "crux"}
    shown = heldline("library", "show", "1")
    assert "F#3  A3   B3   C#4" in shown.out
    assert json.loads(heldline("library", "show", "1", "--json").out)["parts"] == 4
