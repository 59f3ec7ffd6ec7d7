"""The day's compass and what follows from it: an octave, another key with both keys told, one exercise whatever its key."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile
from kept_takes import keep
from live_rig import SETTINGS, TENOR

from trainer.cli import main
from trainer.cli._compass import offered
from trainer.formats import read_path
from trainer.library import resolve
from trainer.live.desk import Desk
from trainer.live.wish import Wish
from trainer.log.history import History
from trainer.log.singer import DaysCompass, SingerMemory
from trainer.log.store import Store
from trainer.places import places
from trainer.score.moved import moved

FERRY = resolve("Ferry Bell at Low Water")
WISH = Wish(FERRY, TENOR, SETTINGS, Desk(TENOR))
Capture = pytest.CaptureFixture[str]


def args(**more: object) -> argparse.Namespace:
    return argparse.Namespace(**{"own_octave": None, **more})


def memory() -> SingerMemory:
    return SingerMemory(places().singer)


def test_a_compass_is_remembered_by_day_and_octaves_beside_it(capsys: Capture) -> None:
    memory().sang("tenor", -1)
    memory().reached(DaysCompass(date.today() - timedelta(days=1), 43, 62))
    assert main(["warmup", "--compass", "A2-E4"]) == 0
    told = capsys.readouterr().out
    assert "Your voice today: A2 to E4" in told
    assert "Before: yesterday from G2 to D4" in told
    assert [(one.lowest, one.highest) for one in memory().compasses()] == [(43, 62), (45, 64)]
    assert memory().octaves("tenor") == -1
    assert main(["warmup", "--compass", "B2-D4", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["lowest"] == "B2"
    assert len(memory().compasses()) == 2


def test_a_recorded_glide_is_as_good_as_a_sung_one(tmp_path: Path, capsys: Capture) -> None:
    at = np.arange(5 * 24_000) / 24_000
    turns = np.cumsum(440 * 2 ** ((np.interp(at, [0, 1.5, 5], [55, 48, 67]) - 69) / 12)) / 24_000
    wave = sum(np.sin(2 * np.pi * k * turns) / k for k in range(1, 9)) * 0.1
    soundfile.write(tmp_path / "glide.wav", wave, 24_000)
    assert main(["warmup", "--input", str(tmp_path / "glide.wav")]) == 0
    assert "C3 to G4" in capsys.readouterr().out
    soundfile.write(tmp_path / "nothing.wav", wave * 0, 24_000)
    assert main(["warmup", "--input", str(tmp_path / "nothing.wav")]) == 5
    capsys.readouterr()
    assert main(["warmup", "--input", str(tmp_path / "nothing.wav"), "--json"]) == 5
    told = capsys.readouterr()
    table = json.loads(told.out)
    assert (table["schema"], table["lowest"], table["highest"]) == ("heldline.warmup/1", None, None)
    assert "No glide was heard" in told.err


@pytest.mark.parametrize("nonsense", ["E4-A2", "A2", "high-low", "A2-A2", "C0-E4", ""])
def test_nonsense_is_one_sentence(nonsense: str, capsys: Capture) -> None:
    assert main(["warmup", "--compass", nonsense]) == 2
    assert "is not a compass" in capsys.readouterr().err
    places().singer.parent.mkdir(parents=True, exist_ok=True)
    places().singer.write_text('{"compass": {"yesterday": [1, 2], "2026-01-01": "x", "2026-01-02": [50, 40]}}')
    assert memory().compasses() == []


def test_small_letters_are_notes_and_less_than_a_fifth_is_no_compass(capsys: Capture) -> None:
    assert main(["warmup", "--compass", "a2-bb3"]) == 0
    assert [(one.lowest, one.highest) for one in memory().compasses()] == [(45, 58)]
    assert main(["warmup", "--compass", "C3-C#3"]) == 2
    assert "C3-C#3 is less than a fifth" in capsys.readouterr().err


def test_without_a_compass_or_within_it_nothing_is_said() -> None:
    assert offered(args(), WISH) == WISH
    memory().reached(DaysCompass(date.today(), 48, 64))
    assert offered(args(), WISH) == WISH
    memory().reached(DaysCompass(date.today() - timedelta(days=30), 30, 40))
    assert offered(args(), WISH) == WISH  # the latest day counts


def test_a_high_voice_is_given_its_octave_and_told_so() -> None:
    memory().reached(DaysCompass(date.today(), 57, 74))
    found = offered(args(), WISH)
    assert found.octaves == 1
    assert "an octave higher than written, where the line fits your voice (today from A3 to D5)" in found.notice
    asked = offered(args(own_octave=0), WISH)
    assert asked.octaves == 0
    assert "--own-octave 1 it fits" in asked.notice


def test_a_low_voice_is_offered_a_key_and_both_keys_are_told() -> None:
    memory().reached(DaysCompass(date.today() - timedelta(days=1), 45, 58))
    found = offered(args(), WISH)
    assert found.octaves == 0
    assert found.notice == (
        "Your line goes from D#3 to C#4, your voice yesterday from A2 to Bb3. With --down 3 (in G# dorian instead of B dorian) it fits."
    )
    lower = replace(WISH, score=moved(FERRY, -3))
    assert offered(args(), lower) == lower


def test_a_voice_of_a_few_notes_is_sent_to_lines_that_it_has(capsys: Capture) -> None:
    memory().reached(DaysCompass(date.today(), 52, 57))
    found = offered(args(), WISH)
    assert found.octaves == 0
    assert found.notice.endswith("heldline library --compass E3-A3 lists lines within it.")
    assert main(["library", "--compass", "E3-A3"]) == 0
    memory().reached(DaysCompass(date.today(), 56, 63))
    assert (
        "With --up 2 (in C# dorian instead of B dorian) 3 semitones of it lie outside." in offered(args(), WISH).notice
    )


def test_a_take_in_another_key_is_a_take_of_the_same_exercise() -> None:
    with Store(places().takes) as store:
        keep(store, FERRY, TENOR, "2026-11-25T10:00:00Z")
        keep(store, moved(FERRY, -4), TENOR, "2026-11-25T11:00:00Z")
        history = History(store)
        assert len(history.versions()) == 1
        assert history.exercise_of(moved(FERRY, 5)) == 1
        assert [one.music.mode for one in history.versions()] == ["dorian"]


def test_a_moved_piece_is_listed_sounded_and_refused_in_words(tmp_path: Path, capsys: Capture) -> None:
    assert main(["ladder", FERRY.title, "--voice", "tenor", "--down", "4", "--list"]) == 0
    assert main(["hear", FERRY.title, "--only", "tenor", "--up", "2", "-o", str(tmp_path / "x.wav")]) == 0
    assert (
        main(
            ["track", FERRY.title, "--voice", "tenor", "--kind", "alone", "--down", "4", "-o", str(tmp_path / "x.mid")]
        )
        == 0
    )
    tones = [note.pitch.midi for line in read_path(tmp_path / "x.mid").lines for note in line.notes]
    assert {note.pitch.midi - 4 for note in FERRY.lines[TENOR].notes} <= set(tones)
    capsys.readouterr()
    for wrong in (["--up", "2", "--down", "2"], ["--up", "13"], ["--down", "third"]):
        assert main(["ladder", FERRY.title, "--list", *wrong]) == 2
        assert capsys.readouterr().err.count("heldline") >= 1
