"""Whatever a command writes over is kept beside it, and told of; the same bytes once more are no news; a failure changes nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from audio.errors import SoundFileError
from trainer.cli import main

Capture = pytest.CaptureFixture[str]
COMPOSE = ["compose", "--parts", "2", "--species", "1", "--cantus", "bass", "--line", "soprano"]
WRITERS = {
    "own.drill": [*COMPOSE, "-o", "own.drill"],
    "own.wav": ["hear", "two-bars.drill", "-o", "own.wav"],
    "chords.wav": ["tune", "two-bars.drill", "--voice", "soprano", "-o", "chords.wav"],
    "part.mid": ["track", "two-bars.drill", "--voice", "soprano", "--kind", "loud", "-o", "part.mid"],
    "part.flac": ["track", "two-bars.drill", "--voice", "soprano", "--kind", "alone", "-o", "part.flac"],
    "bar.wav": ["review", "--hear", "1", "-o", "bar.wav"],
    "page.html": ["library", "show", "two-bars.drill", "--page", "page.html"],
}


@pytest.mark.parametrize("name", WRITERS)
def test_what_was_there_is_kept_beside_and_told_of(
    name: str, tmp_path: Path, score: Path, good: Path, capsys: Capture
) -> None:
    if name == "page.html":
        pytest.importorskip("verovio")
    if name == "bar.wav":
        assert main(["sing", str(score), "--voice", "soprano", "--input", str(good), "-q"]) == 0
    if name == "chords.wav":
        score.write_text(score.read_text().replace("D3", "F3"))  # a third to hold
    own = tmp_path / name
    own.write_bytes(b"an evening's work")
    assert main(WRITERS[name]) == 0
    assert f"there was a file {name}; it is kept as {name}~" in capsys.readouterr().err
    assert (tmp_path / f"{name}~").read_bytes() == b"an evening's work"
    made = own.read_bytes()
    assert main(WRITERS[name]) == 0
    told = capsys.readouterr().err
    if own.read_bytes() == made:  # the same bytes once more
        assert "there was" not in told
        assert (tmp_path / f"{name}~").read_bytes() == b"an evening's work"
    assert not list(tmp_path.glob(".*"))


def test_several_are_told_of_in_one_sentence(tmp_path: Path, score: Path, capsys: Capture) -> None:
    asked = ["track", str(score), "--voice", "soprano", "--as", "mid", "-o", "set/"]
    assert main(asked) == 0
    assert "there were" not in capsys.readouterr().err
    assert main([*asked, "--tempo", "100"]) == 0
    assert "there were 3 files of these names; each is kept beside the new one, its name ending in ~" in (
        " ".join(capsys.readouterr().err.split())
    )
    assert len(list((tmp_path / "set").glob("*.mid~"))) == 3


def test_quiet_says_nothing_of_it_and_keeps_it_all_the_same(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "own.drill").write_bytes(b"an evening's work")
    assert main([*WRITERS["own.drill"], "-q"]) == 0
    assert capsys.readouterr().err == ""
    assert (tmp_path / "own.drill~").read_bytes() == b"an evening's work"


def test_where_the_writing_fails_both_files_are_as_they_were(
    tmp_path: Path, score: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    own, older = tmp_path / "own.wav", tmp_path / "own.wav~"
    own.write_bytes(b"an evening's work")
    older.write_bytes(b"yesterday's")

    def full(*_: object, **__: object) -> None:
        raise SoundFileError("the disk is full; nothing was written", "own.wav", "make room")

    monkeypatch.setattr("trainer.voices.hear.write_pieces", full)
    assert main(["hear", str(score), "-o", str(own)]) == 4
    assert "the disk is full" in capsys.readouterr().err
    assert (own.read_bytes(), older.read_bytes()) == (b"an evening's work", b"yesterday's")


def test_where_a_disk_has_no_second_names_a_copy_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object, **__: object) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "link", no_links)
    (tmp_path / "own.drill").write_bytes(b"an evening's work")
    assert main([*WRITERS["own.drill"], "-q"]) == 0
    assert (tmp_path / "own.drill~").read_bytes() == b"an evening's work"
