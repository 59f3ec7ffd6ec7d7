"""Each fault that a singer can make is planted in every kind of singer, and named through the public command.

Where the notes that a singer holds are concerned, nothing else may be called: one slip is one slip.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import slips
from heldline_command import heldline, judged, save, signs, written_notes
from singers import CAST, Singer
from slips import Performance
from written_music import FERRY_BELL, LOCK_GATE

NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
STARTS_AT_S = 0.5
BAR_S = 2.0


@dataclass(frozen=True, slots=True)
class Plan:
    """Which note of Ferry Bell gets which fault, by voice."""

    flat: int
    third: int
    late: int
    missing: int
    pulled: tuple[int, int]
    to: str


PLANS = {
    "soprano": Plan(flat=1, third=3, late=5, missing=7, pulled=(8, 9), to="alto"),
    "alto": Plan(flat=1, third=3, late=5, missing=6, pulled=(8, 9), to="soprano"),
    "tenor": Plan(flat=1, third=3, late=5, missing=6, pulled=(8, 9), to="alto"),
    "bass": Plan(flat=1, third=3, late=5, missing=7, pulled=(9, 10), to="tenor"),
}


def with_all_faults(voice: str) -> Performance:
    plan = PLANS[voice]
    sung = slips.as_written(FERRY_BELL, voice, starts_at_s=STARTS_AT_S)
    sung = slips.detuned(sung, plan.flat, -40)
    sung = slips.at_pitch(sung, plan.third, slips.third_off(FERRY_BELL, voice, plan.third))
    sung = slips.late_legato(sung, plan.late, 200)
    sung = slips.pulled(sung, plan.pulled, FERRY_BELL, voice, plan.to)
    return slips.missing(sung, plan.missing)


def take_of(singer: Singer, sung: Performance, score: Path, folder: Path, *options: str) -> dict[str, Any]:
    """The judged take of one performance by one singer."""
    sound = singer.sing(sung, slips.whole_s(FERRY_BELL, starts_at_s=STARTS_AT_S))
    recording = save(folder / "take.wav", sound, singer.rate_hz)
    words = ("sing", score, "--voice", singer.voice, "--input", recording, "--starts-at", STARTS_AT_S, *options)
    return judged(*words)


cast = pytest.mark.parametrize("singer", CAST, ids=lambda singer: singer.name)


@cast
def test_a_line_sung_as_written_is_held_from_end_to_end(singer: Singer, ferry_bell: Path, tmp_path: Path) -> None:
    take = take_of(singer, slips.as_written(FERRY_BELL, singer.voice), ferry_bell, tmp_path)
    assert signs(take) == ["held"] * 11
    assert take["status"] == "heard"
    assert take["octave_shift"] == 0
    assert take["extra"] == []
    assert [beat["sign"] for beat in take["beats"]] == ["held"] * 44
    for note in written_notes(take):
        assert abs(note["cents"]) <= singer.true_within_cents + 2


@cast
def test_every_planted_fault_is_named_and_all_else_is_held(singer: Singer, ferry_bell: Path, tmp_path: Path) -> None:
    plan, voice = PLANS[singer.voice], singer.voice
    sung = with_all_faults(voice)
    take = take_of(singer, sung, ferry_bell, tmp_path)
    expected = ["held"] * 11
    expected[plan.flat], expected[plan.third], expected[plan.late] = "flat", "off", "late"
    expected[plan.missing] = "silent"
    for index in plan.pulled:
        expected[index] = "pulled"
    assert signs(take) == expected
    notes = written_notes(take)
    assert notes[plan.flat]["cents"] == pytest.approx(-40, abs=singer.true_within_cents + 2)
    wanted = round(slips.third_off(FERRY_BELL, voice, plan.third))
    assert notes[plan.third]["sung"] == f"{NAMES[wanted % 12]}{wanted // 12 - 1}"
    assert notes[plan.third]["pulled_to"] is None
    late_ms = 200 + 1000 * singer.vowel_late_s(next(note for note in sung if note.index == plan.late))
    # onsets of singing cannot be told finer than about 50 ms (D'Amario et al. 2018)
    assert notes[plan.late]["onset_error_ms"] == pytest.approx(late_ms, abs=70)
    assert notes[plan.missing]["start_s"] is None
    assert notes[plan.missing]["sung"] is None
    assert [notes[index]["pulled_to"] for index in plan.pulled] == [plan.to, plan.to]


@cast
def test_a_line_sung_an_octave_off_is_right_and_told_once(singer: Singer, ferry_bell: Path, tmp_path: Path) -> None:
    # no bass sings an octave below a written bass line: that one is a woman reading it an octave up
    shift = 1 if singer.voice == "bass" else -1
    sung = slips.in_octave(slips.as_written(FERRY_BELL, singer.voice), shift)
    take = take_of(singer, sung, ferry_bell, tmp_path)
    assert take["octave_shift"] == shift
    assert signs(take) == ["held"] * 11


@cast
def test_sinking_beside_sounding_voices_is_flat_where_it_passes_the_tolerance(
    singer: Singer, ferry_bell: Path, tmp_path: Path
) -> None:
    sung = slips.sinking(
        slips.as_written(FERRY_BELL, singer.voice), cents_a_bar=9, bar_s=BAR_S, from_s=STARTS_AT_S + 4 * BAR_S
    )
    take = take_of(singer, sung, ferry_bell, tmp_path)
    # bars 5 to 11 lie 9, 18, 27, 36, 45, 54 and 63 low; the third of them is too near 25 to be promised
    assert signs(take)[:6] == ["held"] * 6
    assert signs(take)[6] in ("held", "flat")
    assert signs(take)[7:] == ["flat"] * 4
    assert take["drift_cents"] < -30


@cast
def test_sinking_alone_is_drift_and_not_flat_notes(singer: Singer, ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.sinking(
        slips.as_written(FERRY_BELL, singer.voice), cents_a_bar=6, bar_s=BAR_S, from_s=STARTS_AT_S + BAR_S
    )
    take = take_of(singer, sung, ferry_bell, tmp_path, "--alone")
    assert take["settings"]["alone"] is True
    assert signs(take) == ["held"] * 11
    assert take["drift_cents"] == pytest.approx(-60, abs=15)


@cast
def test_breath_octave_early_and_left_early_are_told_apart(singer: Singer, ferry_bell: Path, tmp_path: Path) -> None:
    sung = slips.as_written(FERRY_BELL, singer.voice)
    sung = slips.at_pitch(
        sung, 4, slips.as_written(FERRY_BELL, singer.voice)[4].midi + (12 if singer.voice == "bass" else -12)
    )
    sung = slips.breath(sung, 1, after_s=0.9, ms=350)
    sung = slips.early(sung, 7, 250)
    sung = slips.left_early(sung, 10, 1100)
    take = take_of(singer, sung, ferry_bell, tmp_path)
    expected = ["held"] * 11
    expected[1], expected[4], expected[7], expected[10] = "breath", "octave", "early", "left early"
    assert signs(take) == expected
    assert take["result"]["held"] == 8  # a breath counts as held
    assert written_notes(take)[7]["onset_error_ms"] == pytest.approx(-250, abs=80)
    assert written_notes(take)[10]["release_error_ms"] == pytest.approx(-1100, abs=150)


@pytest.mark.parametrize("name", ["espeak alto", "sampled tenor"])
def test_a_tolerance_is_what_it_says(name: str, ferry_bell: Path, tmp_path: Path) -> None:
    singer = next(one for one in CAST if one.name == name)
    sung = slips.detuned(slips.as_written(FERRY_BELL, singer.voice), 4, 50)
    by_tolerance = {
        word: signs(take_of(singer, sung, ferry_bell, tmp_path, "--tolerance", word))[4]
        for word in ("fine", "usual", "learner", "65")
    }
    assert by_tolerance == {"fine": "sharp", "usual": "sharp", "learner": "sharp", "65": "held"}


def test_a_pure_third_is_flat_by_equal_and_held_by_pure_when_judged_finely(ferry_bell: Path, tmp_path: Path) -> None:
    # the last chord is B2 D#3 F#4 B3: a major third 5/4 is 386.31 cents, 13.69 below the equal one (arithmetic)
    singer = next(s for s in CAST if s.name == "espeak tenor")
    sung = slips.detuned(slips.as_written(FERRY_BELL, "tenor"), 10, -22)
    equal = take_of(singer, sung, ferry_bell, tmp_path, "--tolerance", "fine")
    pure = take_of(singer, sung, ferry_bell, tmp_path, "--tolerance", "fine", "--against", "pure")
    assert (signs(equal)[10], signs(pure)[10]) == ("flat", "held")
    assert written_notes(pure)[10]["cents"] - written_notes(equal)[10]["cents"] in (13, 14, 15)


def test_another_piece_is_not_held(ferry_bell: Path, lock_gate: Path, tmp_path: Path) -> None:
    singer = next(s for s in CAST if s.name == "espeak alto")
    sung = slips.as_written(FERRY_BELL, "alto")
    recording = save(tmp_path / "take.wav", singer.sing(sung, 24.0), singer.rate_hz)
    done = heldline("sing", lock_gate, "--voice", "alto", "--input", recording, "--starts-at", STARTS_AT_S, "--json")
    assert done.status == 0
    held = done.table["result"]["held"]
    assert held <= done.table["result"]["notes"] // 4


def test_short_notes_rests_and_repeats_of_a_mixed_line_are_held(lock_gate: Path, tmp_path: Path) -> None:
    for name in ("espeak alto", "simulated alto, straight", "espeak tenor"):
        singer = next(s for s in CAST if s.name == name)
        sung = slips.as_written(LOCK_GATE, singer.voice)
        sound = singer.sing(sung, slips.whole_s(LOCK_GATE))
        recording = save(tmp_path / "take.wav", sound, singer.rate_hz)
        words = ("sing", lock_gate, "--voice", singer.voice, "--input", recording, "--starts-at", STARTS_AT_S)
        take = judged(*words)
        assert signs(take) == ["held"] * len(LOCK_GATE.notes(singer.voice)), name
