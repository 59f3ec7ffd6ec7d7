"""Humming, whistling, a child, falsetto, half-voice: judged like any singing. And what is no singing is no note.

Who sings here shares no code with the program (``simulated_singer``); the rates over many takes come from ``tests/bench/verdicts``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import slips
from heldline_command import heldline, judged, save, signs
from noises import EVENTS, creak, scattered
from other_voices import CHILD, FALSETTO, HALF_VOICE, HUMMED, THROATS, WHISTLED
from rooms import at_level, mains, mixed, pink, through_telephone
from simulated_singer import Throat, sing
from written_music import FERRY_BELL

RATE_HZ = 48_000
STARTS_AT_S = 2.0
SECONDS = slips.whole_s(FERRY_BELL, starts_at_s=STARTS_AT_S)
FRAMES = int(SECONDS * RATE_HZ)
WHO = {
    HUMMED: ("tenor", "men", 0, -22.0),
    WHISTLED: ("tenor", "men", 2, -25.0),
    CHILD: ("soprano", "women", 0, -24.0),
    FALSETTO: ("alto", "men", 0, -24.0),
    HALF_VOICE: ("bass", "men", 0, -44.0),
}
"""Voice, throat, octaves up, level."""


def faulty(voice: str) -> tuple[slips.Performance, list[str]]:
    """The line with a flat note, a wrong one, a late one and one left out."""
    sung = slips.as_written(FERRY_BELL, voice, starts_at_s=STARTS_AT_S)
    sung = slips.detuned(sung, 2, -42)
    sung = slips.at_pitch(sung, 4, slips.third_off(FERRY_BELL, voice, 4))
    sung = slips.late(sung, 6, 180)
    sung = slips.missing(sung, 8)
    wanted = ["held"] * 11
    wanted[2], wanted[4], wanted[6], wanted[8] = "flat", "off", "late", "silent"
    return sung, wanted


@pytest.mark.parametrize("kind", WHO)
def test_another_voice_is_judged_like_any_singing(kind: str, ferry_bell: Path, tmp_path: Path) -> None:
    voice, sex, octaves, level_dbfs = WHO[kind]
    sung, wanted = faulty(voice)
    throat = THROATS[kind](Throat(sex, room_dbfs=-70.0))
    take = sing(slips.in_octave(sung, octaves), seed=21, seconds=SECONDS, throat=throat, level_dbfs=level_dbfs)
    recording = save(tmp_path / "take.wav", take.samples, RATE_HZ)
    told = judged("sing", ferry_bell, "--voice", voice, "--input", recording, "--starts-at", STARTS_AT_S)
    assert signs(told) == wanted
    assert told["octave_shift"] == octaves


def tenor(**throat: float) -> tuple[np.ndarray, list[str]]:
    sung, wanted = faulty("tenor")
    return sing(sung, seed=22, seconds=SECONDS, throat=Throat("men", room_dbfs=-70.0, **throat)).samples, wanted


def test_a_note_that_creaks_is_unsure(ferry_bell: Path, tmp_path: Path) -> None:
    sound, wanted = tenor()
    begin = int((STARTS_AT_S + 8 * 2) * RATE_HZ)  # the note that was left out
    fry = at_level(creak(np.random.default_rng(5), 1.9), -24)
    sound[begin : begin + len(fry)] += fry
    wanted[8] = "unsure"
    recording = save(tmp_path / "take.wav", np.clip(sound, -1, 1), RATE_HZ)
    told = judged("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", STARTS_AT_S)
    assert signs(told) == wanted


SPOILT = {
    "a constant offset": (lambda s: s + 0.2, RATE_HZ),
    "clipped at 6 dB under its peaks": (lambda s: np.clip(s, -np.abs(s).max() / 2, np.abs(s).max() / 2), RATE_HZ),
    "hum of the mains and its harmonics": (
        lambda s: mixed(s, mains(len(s), RATE_HZ, dbfs=-42, mains_hz=60.0)),
        RATE_HZ,
    ),
    "a telephone": (lambda s: through_telephone(s, RATE_HZ), 8_000),
    "denormal numbers for silence": (lambda s: np.where(np.abs(s) < 3e-3, 1e-39, s), RATE_HZ),
}


@pytest.mark.parametrize("how", SPOILT)
def test_a_spoilt_recording_says_what_a_good_one_says(how: str, ferry_bell: Path, tmp_path: Path) -> None:
    sound, wanted = tenor()
    spoil, rate_hz = SPOILT[how]
    recording = save(tmp_path / "take.wav", spoil(sound), rate_hz, subtype="FLOAT")
    told = judged("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", STARTS_AT_S)
    assert signs(told) == wanted


def test_dropped_blocks_and_what_is_no_number_make_notes_unsure_at_most(ferry_bell: Path, tmp_path: Path) -> None:
    sound, wanted = tenor()
    rng = np.random.default_rng(7)
    for at in rng.integers(0, FRAMES - 2_000, 12):  # 21 ms of zeros, as from a driver that fell behind
        sound[at : at + 1_024] = 0.0
    for at in rng.integers(0, FRAMES - 2_000, 6):
        sound[at : at + 480] = np.nan
    recording = save(tmp_path / "take.wav", sound, RATE_HZ, subtype="FLOAT")
    told = judged("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", STARTS_AT_S)
    for told_sign, wanted_sign in zip(signs(told), wanted, strict=True):
        assert told_sign in (wanted_sign, "unsure")
    assert told["extra"] == []


@pytest.mark.parametrize("kind", EVENTS)
def test_what_people_do_besides_singing_is_no_note(kind: str, ferry_bell: Path, tmp_path: Path) -> None:
    room = pink(FRAMES, RATE_HZ, seed=3, dbfs=-60)
    recording = save(
        tmp_path / "a.wav", np.clip(mixed(scattered(kind, SECONDS, seed=3, dbfs=-25), room), -1, 1), RATE_HZ
    )
    done = heldline("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", STARTS_AT_S, "--json")
    assert done.status == 5, done.err
    assert {note["sign"] for note in done.table["notes"]} <= {"silent", "unsure"}
    assert {beat["sign"] for beat in done.table["beats"]} <= {"silent", "unsure", "rest"}


@pytest.mark.parametrize("kind", EVENTS)
def test_what_others_do_where_a_note_was_left_out_is_not_that_note(kind: str, ferry_bell: Path, tmp_path: Path) -> None:
    sound, wanted = tenor()
    begin, end = int((STARTS_AT_S + 16.1) * RATE_HZ), int((STARTS_AT_S + 17.8) * RATE_HZ)
    sound[begin:end] += scattered(kind, 4.0, seed=9, dbfs=-27)[int(0.3 * RATE_HZ) :][: end - begin]
    recording = save(tmp_path / "take.wav", np.clip(sound, -1, 1), RATE_HZ)
    told = judged("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", STARTS_AT_S)
    assert signs(told)[8] in ("silent", "unsure")
    assert signs(told)[:7] + signs(told)[9:] == wanted[:7] + wanted[9:]
