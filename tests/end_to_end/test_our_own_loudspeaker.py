"""A recording with our own loudspeaker in it: who sings right is held, who does not sing is nobody, whatever the room."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import slips
import soundfile
from heldline_command import NEVER_SUNG, heldline, save
from loudspeaker_room import Setup, soft_noise
from numpy.typing import NDArray
from rooms import at_level, mixed
from simulated_singer import Throat, sing
from written_music import FERRY_BELL

RATE_HZ = 48_000
STARTS_S, QPM = 1.0, 120.0
VOICE, OTHERS = "tenor", "soprano,alto,bass"
ROOMS = {
    "a study": Setup(RATE_HZ, seed=31, rt60_s=0.3, delay_s=0.04),
    "a hall, far away": Setup(RATE_HZ, seed=32, rt60_s=0.6, delay_s=0.12, direct_db=0.0),
    "a phone of its own clock": Setup(RATE_HZ, seed=33, rt60_s=0.35, delay_s=0.05, ppm=60),
}


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory, ferry_bell: Path) -> Path:
    """What our loudspeaker sounds."""
    out = tmp_path_factory.mktemp("sounded") / "three.wav"
    done = heldline("hear", ferry_bell, "--without", VOICE, "--tempo", QPM, "-o", out)
    assert done.status == 0, done.err
    return out


def recording(three: Path, folder: Path, setup: Setup, sung: slips.Performance, *, under_db: float = 0.0) -> Path:
    """The singer, *under_db* softer than the loudspeaker, in its room."""
    table, rate_hz = soundfile.read(three, always_2d=True)
    assert rate_hz == RATE_HZ
    played = np.concatenate([np.zeros(int(STARTS_S * RATE_HZ)), table.mean(axis=1), np.zeros(RATE_HZ)])
    echo = at_level(setup.at_microphone(played), -32)
    parts: list[NDArray[np.float64]] = [echo, soft_noise(len(echo), RATE_HZ, seed=6, dbfs=-64)]
    if sung:
        voice = sing(sung, seed=5, seconds=len(echo) / RATE_HZ, throat=Throat("men", room_dbfs=-80)).samples
        parts.append(at_level(voice, -32 - under_db))
    return save(folder / "take.wav", np.clip(mixed(*parts), -1, 1), RATE_HZ)


def judged(score: Path, take: Path, *played: object) -> tuple[int, dict[str, Any]]:
    words = (
        "sing",
        score,
        "--voice",
        VOICE,
        "--input",
        take,
        "--tempo",
        QPM,
        "--starts-at",
        STARTS_S,
        "--no-log",
        "--json",
    )
    done = heldline(*words, *played)
    assert done.out, done.err
    return done.status, done.table


def as_written() -> slips.Performance:
    return slips.as_written(FERRY_BELL, VOICE, qpm=QPM, starts_at_s=STARTS_S)


@pytest.mark.parametrize("room", ["a study", "a hall, far away"])
def test_a_right_singer_is_held_beside_a_loudspeaker_as_loud(
    room: str, three: Path, ferry_bell: Path, tmp_path: Path
) -> None:
    take = recording(three, tmp_path, ROOMS[room], as_written())
    status, table = judged(ferry_bell, take, "--played", OTHERS)
    assert status == 0
    signs = [note["sign"] for note in table["notes"]]
    assert signs.count("held") >= len(signs) - 1, signs
    assert set(signs) <= {"held", "unsure"}
    assert any("taken away" in said and "dB softer" in said for said in table["remarks"])


def test_a_moment_given_many_seconds_wrong_is_put_right(three: Path, ferry_bell: Path, tmp_path: Path) -> None:
    take = recording(three, tmp_path, ROOMS["a study"], as_written())
    status, table = judged(ferry_bell, take, "--played", three, "--played-at", 12.5)
    assert status == 0
    assert {note["sign"] for note in table["notes"]} <= {"held", "unsure"}
    assert any("11.4" in said and "s early" in said and "taken away" in said for said in table["remarks"])


@pytest.mark.parametrize("room", ROOMS)
def test_a_shut_mouth_beside_the_loudspeaker_is_nobody(
    room: str, three: Path, ferry_bell: Path, tmp_path: Path
) -> None:
    take = recording(three, tmp_path, ROOMS[room], ())
    status, table = judged(ferry_bell, take, "--played", OTHERS)
    assert status == 5
    assert table["status"] == "nothing heard"
    assert {beat["sign"] for beat in table["beats"]} <= NEVER_SUNG


def test_what_was_not_played_into_a_recording_is_not_taken_away(ferry_bell: Path, tmp_path: Path) -> None:
    sung = as_written()
    voice = sing(sung, seed=5, seconds=sung[-1].end_s + 1, throat=Throat("men")).samples
    take = save(tmp_path / "take.wav", voice, RATE_HZ)
    status, table = judged(ferry_bell, take, "--played", OTHERS)
    assert status == 0
    assert {note["sign"] for note in table["notes"]} == {"held"}
    assert "What was played is not heard in this recording; nothing was taken away." in table["remarks"]


def test_of_a_few_seconds_in_which_nothing_is_found_no_more_is_said_than_is_known(
    ferry_bell: Path, tmp_path: Path
) -> None:
    sung = as_written()
    voice = sing(sung, seed=5, seconds=sung[-1].end_s + 1, throat=Throat("men")).samples
    take = save(tmp_path / "take.wav", voice[: 6 * RATE_HZ], RATE_HZ)
    _, table = judged(ferry_bell, take, "--played", OTHERS)
    brief = "What was played is not heard in this recording, but a few seconds are too short to be sure; nothing was taken away."
    assert brief in table["remarks"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--played", "soprano"), "--played is for a recording"),
        (("--input", "x.wav", "--played-at", "1"), "--played-at says when"),
        (("--input", "x.wav", "--played", "soprano", "--alone"), "--alone says that nothing was played"),
        (("--input", "x.wav", "--played", "cello"), "no voice called cello\n  --played\n"),
    ],
)
def test_what_makes_no_sense_is_said(words: tuple[str, ...], says: str, ferry_bell: Path) -> None:
    done = heldline("sing", ferry_bell, "--voice", VOICE, *words)
    assert done.status == 2
    assert says in done.err
