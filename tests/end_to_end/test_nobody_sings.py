"""The first acceptance test of the whole project: who does not sing is told 'nothing heard', whatever the microphone hears."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from heldline_command import NEVER_SUNG, heldline, save
from numpy.typing import NDArray
from rooms import at_level, hum, in_room, mixed, pink, through_small_speaker
from slips import whole_s
from written_music import FERRY_BELL, LOCK_GATE, Piece, write_musicxml

Sound = NDArray[np.float64]
RATE_HZ = 48_000
SECONDS = whole_s(FERRY_BELL)
FRAMES = int(SECONDS * RATE_HZ)


def noise_of_a_fan(seed: int) -> Sound:
    rng = np.random.default_rng(seed)
    blades = np.sin(2 * np.pi * 23 * np.arange(FRAMES) / RATE_HZ) * 0.3 + 1
    return at_level(pink(FRAMES, RATE_HZ, seed=seed, dbfs=-40) * blades + rng.standard_normal(FRAMES) * 1e-4, -42)


def clicks(seed: int) -> Sound:
    rng = np.random.default_rng(seed)
    sound = pink(FRAMES, RATE_HZ, seed=seed, dbfs=-62)
    for at in rng.integers(0, FRAMES - 2000, 150):
        sound[at : at + 1500] += rng.standard_normal(1500) * np.exp(-np.arange(1500) / 200) * 0.2
    return np.clip(sound, -1, 1)


NOISES = {
    "digital silence": lambda: np.zeros(FRAMES),
    "a quiet room": lambda: pink(FRAMES, RATE_HZ, seed=1, dbfs=-62),
    "a loud room": lambda: pink(FRAMES, RATE_HZ, seed=2, dbfs=-38),
    "a chapel's refrigerator": lambda: mixed(hum(FRAMES, RATE_HZ, dbfs=-45), pink(FRAMES, RATE_HZ, seed=3, dbfs=-58)),
    "american mains hum": lambda: mixed(
        hum(FRAMES, RATE_HZ, dbfs=-42, mains_hz=60.0), pink(FRAMES, RATE_HZ, seed=4, dbfs=-60)
    ),
    "a fan": lambda: noise_of_a_fan(5),
    "keys rattled": lambda: clicks(6),
    "white noise": lambda: at_level(np.random.default_rng(7).standard_normal(FRAMES), -35),
    "a constant offset": lambda: np.full(FRAMES, 0.2),
}


def nothing_heard(*words: object) -> dict[str, Any]:
    done = heldline(*words, "--json")
    assert done.status == 5, f"status {done.status}: {done.err or done.out[:600]}"
    take: dict[str, Any] = done.table
    assert take["status"] == "nothing heard"
    sung = [(beat["bar"], beat["beat"], beat["sign"]) for beat in take["beats"] if beat["sign"] not in NEVER_SUNG]
    assert sung == []
    assert {note["sign"] for note in take["notes"]} <= {"silent", "unsure"}
    assert take["result"]["held"] == 0
    return take


@pytest.mark.parametrize("voice", FERRY_BELL.voices)
@pytest.mark.parametrize("noise", NOISES)
def test_noise_is_nobody(noise: str, voice: str, ferry_bell: Path, tmp_path: Path) -> None:
    recording = save(tmp_path / "take.wav", NOISES[noise](), RATE_HZ)
    nothing_heard("sing", ferry_bell, "--voice", voice, "--input", recording, "--starts-at", "0.5")


@functools.cache
def our_voices(piece: Piece, voice: str, *options: object) -> tuple[Sound, int]:
    """What our own loudspeaker would sound: every voice but the singer's, with room before for the start."""
    with tempfile.TemporaryDirectory() as folder:
        score = write_musicxml(piece, Path(folder) / "piece.musicxml")
        out = Path(folder) / "three.wav"
        done = heldline("hear", score, "--without", voice, "-o", out, *options)
        assert done.status == 0, done.err
        table, rate_hz = soundfile.read(out, always_2d=True)
    assert whole_s(piece, starts_at_s=0, tail_s=-1) < len(table) / rate_hz
    return np.concatenate([np.zeros(rate_hz // 2), table.mean(axis=1)]), rate_hz


@pytest.mark.parametrize("piece", [FERRY_BELL, LOCK_GATE], ids=lambda piece: piece.title)
@pytest.mark.parametrize("voice", FERRY_BELL.voices)
@pytest.mark.parametrize("way", ["straight into the microphone", "through a laptop's speaker and a room"])
def test_our_own_voices_are_nobody(way: str, voice: str, piece: Piece, tmp_path: Path) -> None:
    score = write_musicxml(piece, tmp_path / "piece.musicxml")
    sound, rate_hz = our_voices(piece, voice)
    if "room" in way:
        sound = in_room(through_small_speaker(sound, rate_hz), rate_hz, seed=3, rt60_s=0.5, direct_to_reverb_db=0.0)
    # as loud as talk at the microphone, over a quiet room
    sound = mixed(at_level(sound, -32), pink(len(sound), rate_hz, seed=9, dbfs=-62))
    recording = save(tmp_path / "take.wav", sound, rate_hz)
    nothing_heard("sing", score, "--voice", voice, "--input", recording, "--starts-at", "0.5")


@pytest.mark.parametrize("level_dbfs", [-15, -25, -45, -55])
def test_our_own_voices_are_nobody_at_any_level(level_dbfs: int, ferry_bell: Path, tmp_path: Path) -> None:
    sound, rate_hz = our_voices(FERRY_BELL, "tenor")
    sound = mixed(at_level(in_room(sound, rate_hz, seed=4), level_dbfs), pink(len(sound), rate_hz, seed=8, dbfs=-66))
    recording = save(tmp_path / "take.wav", np.clip(sound, -1, 1), rate_hz)
    nothing_heard("sing", ferry_bell, "--voice", "tenor", "--input", recording, "--starts-at", "0.5")


def test_the_count_in_is_nobody_either(ferry_bell: Path, tmp_path: Path) -> None:
    sound, rate_hz = our_voices(FERRY_BELL, "alto", "--count-in", "2")
    sound = mixed(at_level(sound, -30), pink(len(sound), rate_hz, seed=8, dbfs=-66))
    recording = save(tmp_path / "take.wav", sound, rate_hz)
    nothing_heard("sing", ferry_bell, "--voice", "alto", "--input", recording, "--starts-at", "4.5")


def test_an_empty_recording_is_nobody(ferry_bell: Path, tmp_path: Path) -> None:
    for frames in (0, 1, 100, 4000):
        recording = save(tmp_path / f"{frames}.wav", np.zeros(frames), RATE_HZ)
        nothing_heard("sing", ferry_bell, "--voice", "alto", "--input", recording)


def test_a_midi_file_without_notes_is_nobody(ferry_bell: Path, tmp_path: Path) -> None:
    import mido

    mido.MidiFile(tracks=[mido.MidiTrack()]).save(tmp_path / "empty.mid")
    done = heldline("key", ferry_bell, "--voice", "alto", "--input", tmp_path / "empty.mid", "--json")
    assert done.status == 5, done.err
    assert done.table["status"] == "nothing heard"
