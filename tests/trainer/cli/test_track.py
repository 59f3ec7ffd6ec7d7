"""``heldline track`` as people use it: one file, or a set into a folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import soundfile
from heldline_command import heldline

from trainer.formats import read_path
from trainer.score.model import Score

SHORT = "title: Two Bars: Only\nmeter: 4/4\ntempo: 240\n\nsoprano | A4 | B4 |\nbass | D3 | G3 |\n"


@pytest.fixture
def piece(tmp_path: Path) -> Path:
    path = tmp_path / "two.drill"
    path.write_text(SHORT)
    return path


def test_one_track_is_one_file_with_its_title(piece: Path, tmp_path: Path) -> None:
    done = heldline("track", piece, "--voice", "bass", "--kind", "loud", "-o", tmp_path / "bass.flac")
    assert done.status == 0
    assert done.out.splitlines()[0].endswith("bass.flac: Two Bars: Only: bass loud, 6.0 s, bar 1 at 3.5 s")
    with soundfile.SoundFile(tmp_path / "bass.flac") as sound:
        assert (sound.channels, sound.title, sound.album) == (2, "Two Bars: Only: bass loud", "Two Bars: Only")


def test_a_folder_gets_every_voice_and_kind_with_names_that_any_system_takes(piece: Path, tmp_path: Path) -> None:
    table = heldline("track", piece, "-o", tmp_path / "set", "--as", "wav", "--json").table
    assert table["schema"] == "heldline.track/1"
    made = [(one["voice"], one["kind"]) for one in table["tracks"]]
    assert made == [(voice, kind) for voice in ("soprano", "bass") for kind in ("loud", "alone", "without")]
    names = sorted(path.name for path in (tmp_path / "set").iterdir())
    assert len(names) == 6
    assert names[0] == "Two Bars Only - bass - alone.wav"
    assert {one["starts_at_s"] for one in table["tracks"]} == {3.5}
    assert all(one["loudness_lufs"] == pytest.approx(-20, abs=0.5) for one in table["tracks"])


def test_midi_tracks_are_scores_again(piece: Path, tmp_path: Path) -> None:
    done = heldline("track", piece, "--voice", "soprano", "--kind", "without", "-o", tmp_path / "x.mid", "--json")
    assert done.status == 0
    again = read_path(tmp_path / "x.mid")
    assert [str(note.pitch) for line in again.lines for note in line.notes] == [
        "A4",
        "D3",
        "G3",
    ]  # the first note is given
    assert done.table["tracks"][0]["loudness_lufs"] is None


def test_bars_tempo_and_count_are_as_asked(piece: Path, tmp_path: Path) -> None:
    words = (
        "--voice",
        "bass",
        "--kind",
        "alone",
        "--bars",
        "2",
        "--tempo",
        "120",
        "--count-in",
        "2",
        "--no-first-note",
    )
    table = heldline("track", piece, *words, "-o", tmp_path / "x.wav", "--json").table
    (one,) = table["tracks"]
    assert one["title"] == "Two Bars: Only: bass alone, bar 2"
    assert one["starts_at_s"] == 4.0
    assert one["length_s"] == pytest.approx(4 + 2 + 0.5, abs=0.6)


def test_of_some_bars_it_is_told_where_the_first_of_them_falls(piece: Path, tmp_path: Path) -> None:
    words = ("--bars", "2", "--voice", "bass", "--kind", "loud")
    assert "bass loud, bar 2, 3.0 s, bar 2 at 2 s" in heldline("track", piece, *words, "-o", tmp_path / "x.mid").out
    assert "s, bar 2 at 0 s" in heldline("hear", piece, "--bars", "2", "-o", tmp_path / "x.wav").out


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (("-o", "x.flac"), 2, "--voice is missing"),
        (("--voice", "bass", "-o", "x.flac"), 2, "--kind is missing"),
        (("--voice", "bass", "--kind", "loud", "--against", "pure", "-o", "x.mid"), 2, "no tuning"),
        (("--voice", "bass", "--kind", "loud", "--bars", "3-9", "-o", "x.wav"), 2, "bars 1 to 2"),
        (("--voice", "alto", "--kind", "loud", "-o", "x.wav"), 2, "choose one of"),
        (("--count-in", "9", "-o", "set"), 2, "give 0 to 8"),
        (("-o", "nowhere/set"), 4, "the folder cannot be made"),
        (("-o", "two.drill"), 2, "not written as .drill"),
        (("-o", "set.mp3"), 2, "end the file in .wav, .flac, .mid"),
        (("--voice", "bass", "--kind", "loud", "--as", "wav", "-o", "x.wav"), 2, "leave --as away"),
    ],
)
def test_what_cannot_be_is_answered_in_a_sentence_and_nothing_is_written(
    piece: Path, tmp_path: Path, words: tuple[str, ...], status: int, says: str
) -> None:
    before = sorted(tmp_path.rglob("*"))
    done = heldline("track", piece, *words)
    assert done.status == status
    assert says in done.err
    assert done.out == ""
    assert sorted(path for path in tmp_path.rglob("*") if path != tmp_path / "set") == before


def test_two_scores_of_one_title_are_refused_before_anything_is_written(piece: Path, tmp_path: Path) -> None:
    done = heldline("track", piece, piece, "-o", tmp_path / "set")
    assert done.status == 2
    assert "two scores are called" in done.err
    assert not (tmp_path / "set").exists()


def test_two_voices_of_one_name_get_tracks_of_their_own(tmp_path: Path) -> None:
    from trainer.formats import write_path
    from trainer.score.model import Line

    score = read_path_of(SHORT, tmp_path)
    write_path(
        replace(score, lines=tuple(Line("Violin", line.notes) for line in (*score.lines, score.lines[0]))),
        tmp_path / "x.musicxml",
    )
    table = heldline(
        "track", tmp_path / "x.musicxml", "--kind", "alone", "-o", tmp_path / "set", "--as", "mid", "--json"
    ).table
    assert len({one["file"] for one in table["tracks"]}) == 3


def read_path_of(text: str, folder: Path) -> Score:
    path = folder / "again.drill"
    path.write_text(text)
    return read_path(path)
