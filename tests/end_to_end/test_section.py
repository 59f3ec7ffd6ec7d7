"""A section of simulated singers through the public command: bars, causes, a wrong line, a silent desk."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from crowd_singers import together
from heldline_command import heldline, save
from simulated_singer import Throat, sing
from slips import Performance, as_written, length_s, pulled, whole_s
from written_music import FERRY_BELL, Piece, even, write_musicxml

QPM = 240
"""A bar a second; the tempo is told with --tempo, so nothing but the length of the sound changes."""


def recording(place: Path, sung: Performance, seed: int) -> Path:
    seconds = whole_s(FERRY_BELL, qpm=QPM)
    take = sing(sung, seed=seed, seconds=seconds, throat=Throat(vibrato_cents=15, scatter_cents=5), rate_hz=24_000)
    return save(place, take.samples, take.rate_hz)


@pytest.fixture(scope="module")
def desks(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("desks")
    own = as_written(FERRY_BELL, "tenor", qpm=QPM)
    astray = pulled(own, (8, 9), FERRY_BELL, "tenor", "alto")
    return {
        "wren": recording(folder / "wren.wav", own, 1),
        "heron": recording(folder / "heron.wav", astray, 2),
        "teal": recording(folder / "teal.wav", astray, 3),
        "knot": recording(folder / "knot.wav", as_written(FERRY_BELL, "alto", qpm=QPM), 4),
        "rail": recording(folder / "rail.wav", (), 5),
    }


def told(ferry_bell: Path, desks: dict[str, Path], *more: str) -> object:
    wanted = ",".join(f"{label}={path}" for label, path in desks.items())
    return heldline(
        "sectional", ferry_bell, "--voice", "tenor", "--input", wanted, "--tempo", QPM, "--starts-at", "0.5", *more
    )


def test_a_section_is_told_by_bar_and_cause(ferry_bell: Path, desks: dict[str, Path]) -> None:
    done = told(ferry_bell, desks, "--json", "--persons")
    assert done.status == 0
    table = done.table
    by_bar = {bar["bar"]: bar for bar in table["bars"]}
    assert (table["desks"], table["heard"], table["other_lines"]) == (5, 4, {"alto": 1})
    for bar in (1, 2, 3, 4, 5, 6, 7, 8, 11):
        assert (by_bar[bar]["sang"], by_bar[bar]["held"]) == (3, 3), bar
    for bar in (9, 10):
        assert (by_bar[bar]["sang"], by_bar[bar]["held"]) == (3, 1), bar
        assert by_bar[bar]["pulled_to"] == {"alto": 2}
        assert by_bar[bar]["not_held_by"] == ["heron", "teal"]
    assert table["next"] == {"first_bar": 8, "last_bar": 9, "against": "alto"}
    assert {one["label"]: one["status"] for one in table["persons"]}["rail"] == "nothing heard"


def test_nobody_heard_is_five_and_a_bad_file_costs_the_others_nothing(
    ferry_bell: Path, desks: dict[str, Path], tmp_path: Path
) -> None:
    assert told(ferry_bell, {"rail": desks["rail"]}).status == 5
    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"RIFF but no sound")
    done = told(ferry_bell, {"wren": desks["wren"], "smew": broken}, "--json")
    assert done.status == 4
    assert "smew" in done.err
    assert done.table["desks"] == 1


def test_a_label_given_twice_is_refused(ferry_bell: Path, desks: dict[str, Path]) -> None:
    words = f"wren={desks['wren']},wren={desks['heron']}"
    done = heldline("sectional", ferry_bell, "--voice", "tenor", "--input", words)
    assert done.status == 2
    assert "two desks are called wren" in done.err


def test_a_crowd_is_told_as_a_crowd(tmp_path: Path) -> None:
    piece = Piece("Three Long Notes", (("tenor", even("F#3 A3 B3")),))
    score = write_musicxml(piece, tmp_path / "long.musicxml")
    written = as_written(piece, "tenor")
    sung = together(written, singers=5, spread_cents=14, centre_cents=-20, seed=11, seconds=length_s(written))
    all_at_once = save(tmp_path / "all.wav", sung.samples, sung.rate_hz)
    words = ("sectional", score, "--voice", "1", "--crowd", all_at_once, "--starts-at", "0.5")
    table = heldline(*words, "--json").table
    assert (table["schema"], table["bars"], table["desks"]) == ("heldline.section/1", [], 0)
    assert abs(table["centre_cents"] - median(sung.centres.values())) <= 4
    assert abs(table["spread_cents"] - median(sung.spreads.values())) <= 4
    assert table["octave_split"] is False
    text = heldline(*words).out
    assert text.startswith("All at one microphone: several voices, so nobody is judged alone")
    assert "held" not in text
    assert heldline(*words, "--tempo", "240").out.splitlines()[1].startswith("  No note of this line lasts two seconds")


def test_a_crowd_that_is_silent_is_five_and_free_time_is_refused(tmp_path: Path) -> None:
    score = write_musicxml(Piece("One", (("tenor", even("A3")),)), tmp_path / "one.musicxml")
    silent = save(tmp_path / "silent.wav", np.zeros(24_000 * 4), 24_000)
    assert heldline("sectional", score, "--voice", "1", "--crowd", silent).status == 5
    assert heldline("sectional", score, "--voice", "1", "--crowd", silent, "--time", "free").status == 2
    without = heldline("sectional", score, "--voice", "1")  # at the microphone, where there is none here
    assert (without.status, without.out) == (3, "")
    assert "there is no microphone here" in without.err


def test_two_who_sing_at_once_at_a_desk_are_not_judged(
    ferry_bell: Path, desks: dict[str, Path], tmp_path: Path
) -> None:
    own = as_written(FERRY_BELL, "tenor", qpm=QPM)
    beside = tuple(replace(note, midi=note.midi + 5) for note in own if 2 <= note.index <= 6)
    seconds = whole_s(FERRY_BELL, qpm=QPM)
    one, other = (
        sing(line, seed=seed, seconds=seconds, throat=Throat(vibrato_cents=15), rate_hz=24_000)
        for seed, line in ((1, own), (2, beside))
    )
    both = save(tmp_path / "both.wav", one.samples + other.samples, 24_000)
    done = told(ferry_bell, {"wren": desks["wren"], "heron": both}, "--alone", "--json", "--persons")
    (bars,) = done.table["two_voices"]
    assert set(range(4, 7)) <= set(bars) <= set(range(3, 8))
    assert {one["label"]: one["two_voices"] for one in done.table["persons"]} == {"wren": [], "heron": bars}
    by_bar = {bar["bar"]: bar for bar in done.table["bars"]}
    assert all(by_bar[bar]["sang"] == by_bar[bar]["held"] == 1 for bar in bars[1:-1])
    assert (by_bar[9]["sang"], by_bar[9]["held"]) == (2, 2)


def test_a_divided_section_is_told_as_two_lines(tmp_path: Path) -> None:
    lines = {"alto 1": "G4 A4 B4 C5", "alto 2": "E4 E4 A4 C5"}
    piece = Piece("In Two", tuple((name, even(words, 3)) for name, words in lines.items()), beats=3)
    score = write_musicxml(piece, tmp_path / "two.musicxml")
    halves = {
        name: together(
            as_written(piece, name),
            singers=3,
            spread_cents=8,
            centre_cents=cents,
            seed=int(cents) + 50,
            seconds=length_s(as_written(piece, name)),
        )
        for name, cents in (("alto 1", 12.0), ("alto 2", -18.0))
    }
    whole = save(tmp_path / "all.wav", sum(half.samples for half in halves.values()), 24_000)
    upper_only = save(tmp_path / "upper.wav", halves["alto 1"].samples, 24_000)
    words = ("sectional", score, "--voice", "1", "--divisi", "2", "--starts-at", "0.5", "--crowd")
    table = heldline(*words, whole, "--json").table
    for name, half in (("alto 1", "upper"), ("alto 2", "lower")):
        found = table["divisi"][half]
        assert (found["voice"], found["sign"]) == (name, "heard")
        assert abs(found["centre_cents"] - median(halves[name].centres.values())) <= 6
    assert [note["upper"]["sign"] for note in table["divisi"]["notes"]] == ["heard", "heard", "unsure"]
    assert len(table["crowd_notes"]) == 1  # the last, where both have C5
    assert "Lower (alto 2): nobody is heard on it" in heldline(*words, upper_only).out
    assert heldline(*words, whole, "--divisi", "1").status == 2
    assert heldline("sectional", score, "--voice", "1", "--divisi", "2", "--input", whole).status == 2
