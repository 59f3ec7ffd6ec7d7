"""Recordings in: what is in the file comes out, and whatever is wrong with a file is said in one clear error."""

from __future__ import annotations

import math
import os
import shutil
import struct
import subprocess
import tracemalloc
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile

from audio.block import Block
from audio.errors import SoundFileError
from audio.soundfile_io import read_blocks, sound_length_seconds


def tone(seconds: float = 0.5, rate_hz: int = 48_000, f0_hz: float = 330.0) -> np.ndarray:
    return (0.5 * np.sin(2 * np.pi * f0_hz * np.arange(round(seconds * rate_hz)) / rate_hz)).astype(np.float32)


def joined(blocks: list[Block]) -> np.ndarray:
    return np.concatenate([block.channel("mic1") for block in blocks])


def strongest_hz(sound: np.ndarray, rate_hz: int) -> float:
    bins = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 8 * len(sound)))
    return float(np.argmax(bins)) * rate_hz / (8 * len(sound))


@pytest.mark.parametrize(
    ("suffix", "subtype", "most_error"),
    [
        (".wav", "PCM_U8", 1 / 100),
        (".wav", "PCM_16", 1 / 30_000),
        (".wav", "PCM_24", 1 / 8_000_000),
        (".wav", "PCM_32", 1 / 8_000_000),
        (".wav", "FLOAT", 0.0),
        (".wav", "DOUBLE", 1e-7),
        (".flac", "PCM_16", 1 / 30_000),
        (".flac", "PCM_24", 1 / 8_000_000),
        (".aiff", "PCM_16", 1 / 30_000),
    ],
)
def test_exact_formats_give_back_what_was_written(tmp_path: Path, suffix: str, subtype: str, most_error: float) -> None:
    soundfile.write(tmp_path / f"a{suffix}", tone(), 48_000, subtype=subtype)
    blocks = list(read_blocks(tmp_path / f"a{suffix}"))
    assert np.max(np.abs(joined(blocks) - tone())) <= most_error
    assert blocks[0].rate_hz == 48_000


@pytest.mark.parametrize("kind", ["OGG", "MP3"])
def test_lossy_formats_keep_pitch_and_length(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"a.{kind.lower()}"
    soundfile.write(path, tone(2.0, 44_100), 44_100, format=kind)
    sound = joined(list(read_blocks(path)))
    assert abs(strongest_hz(sound[4_000:-4_000], 44_100) - 330.0) < 0.5
    assert abs(sound_length_seconds(path) - 2.0) < 0.06


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="no ffmpeg on this system")
def test_m4a_is_decoded_where_the_system_can(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "a.wav", tone(2.0, 44_100), 44_100)
    subprocess.run(
        ["ffmpeg", "-loglevel", "error", "-i", tmp_path / "a.wav", "-c:a", "aac", tmp_path / "a.m4a"], check=True
    )
    blocks = list(read_blocks(tmp_path / "a.m4a", block_frames=5_000))
    sound = joined(blocks)
    assert abs(strongest_hz(sound[4_000:-4_000], 44_100) - 330.0) < 0.5
    assert abs(len(sound) / 44_100 - 2.0) < 0.06
    assert {len(block.samples) for block in blocks[:-1]} == {5_000}
    assert abs(np.std(sound[4_000:-4_000]) / np.std(tone()) - 1) < 0.05
    (tmp_path / "half.m4a").write_bytes((tmp_path / "a.m4a").read_bytes()[:3_000])
    with pytest.raises(SoundFileError):
        list(read_blocks(tmp_path / "half.m4a"))


def test_m4a_without_a_decoder_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        import audioread

    def nothing(_: str) -> None:
        raise audioread.NoBackendError

    monkeypatch.setattr(audioread, "audio_open", nothing)
    (tmp_path / "a.m4a").write_bytes(b"\x00\x00\x00\x20ftypM4A " + bytes(100))
    with pytest.raises(SoundFileError, match="cannot decode"):
        read_blocks(tmp_path / "a.m4a")


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 22_050, 44_100, 96_000, 192_000])
def test_every_usual_rate_is_read_at_its_own_rate(tmp_path: Path, rate_hz: int) -> None:
    soundfile.write(tmp_path / "a.wav", tone(1.0, rate_hz), rate_hz)
    blocks = list(read_blocks(tmp_path / "a.wav"))
    assert {block.rate_hz for block in blocks} == {rate_hz}
    assert abs(strongest_hz(joined(blocks), rate_hz) - 330.0) < 0.5


@pytest.mark.parametrize("rate_hz", [1_000, 7_999])
def test_a_rate_too_low_for_a_voice_is_refused(tmp_path: Path, rate_hz: int) -> None:
    soundfile.write(tmp_path / "a.wav", tone(1.0, rate_hz, 100.0), rate_hz)
    with pytest.raises(SoundFileError, match=str(rate_hz)):
        read_blocks(tmp_path / "a.wav")


@pytest.mark.parametrize("block_frames", [1, 777, 16_384, 100_000])
def test_block_size_changes_nothing_but_the_cuts(tmp_path: Path, block_frames: int) -> None:
    length = 0.05 if block_frames == 1 else 0.5
    soundfile.write(tmp_path / "a.wav", tone(length), 48_000, subtype="FLOAT")
    blocks = list(read_blocks(tmp_path / "a.wav", block_frames=block_frames))
    assert np.array_equal(joined(blocks), tone(length))
    assert [block.start_frame for block in blocks] == list(range(0, len(tone(length)), block_frames))


def test_stereo_becomes_the_mean(tmp_path: Path) -> None:
    left, right = tone(), 0.5 * tone(f0_hz=500.0)
    soundfile.write(tmp_path / "a.wav", np.stack((left, right), axis=1), 48_000, subtype="FLOAT")
    assert np.allclose(joined(list(read_blocks(tmp_path / "a.wav"))), (left + right) / 2, atol=1e-7)


@pytest.mark.parametrize("silent", [0, 1])
def test_a_silent_side_does_not_halve_the_other(tmp_path: Path, silent: int) -> None:
    sides = [tone(), tone()]
    sides[silent] = np.zeros_like(tone())
    soundfile.write(tmp_path / "a.wav", np.stack(sides, axis=1), 48_000, subtype="FLOAT")
    assert np.array_equal(joined(list(read_blocks(tmp_path / "a.wav"))), tone())


def test_a_side_that_wakes_late_is_not_taken_for_silent(tmp_path: Path) -> None:
    left, right = tone(12.0, 8_000), tone(12.0, 8_000)
    right[: 11 * 8_000] = 0.0
    soundfile.write(tmp_path / "a.wav", np.stack((left, right), axis=1), 8_000, subtype="FLOAT")
    assert np.allclose(joined(list(read_blocks(tmp_path / "a.wav"))), (left + right) / 2, atol=1e-7)


def test_a_side_wired_the_wrong_way_round_does_not_cancel_the_singer(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "a.wav", np.stack((tone(), -0.97 * tone()), axis=1), 48_000, subtype="FLOAT")
    assert np.array_equal(joined(list(read_blocks(tmp_path / "a.wav"))), tone())


def test_a_common_hum_before_the_singing_does_not_hide_that_the_sides_cancel(tmp_path: Path) -> None:
    hum = 0.01 * tone(2.0, 48_000, 50.0)
    left, right = np.concatenate((hum, tone(4.0))), np.concatenate((hum, -0.9 * tone(4.0)))
    soundfile.write(tmp_path / "a.wav", np.stack((left, right), axis=1), 48_000, subtype="FLOAT")
    assert np.array_equal(joined(list(read_blocks(tmp_path / "a.wav"))), left)


def test_six_channels_are_one(tmp_path: Path) -> None:
    six = np.stack([tone(f0_hz=100.0 * k) for k in range(1, 7)], axis=1)
    soundfile.write(tmp_path / "a.wav", six, 48_000, subtype="FLOAT")
    assert np.allclose(joined(list(read_blocks(tmp_path / "a.wav"))), six.mean(axis=1), atol=1e-6)


def test_one_side_can_be_asked_for(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "a.wav", np.stack((tone(), tone(f0_hz=500.0)), axis=1), 48_000, subtype="FLOAT")
    assert np.array_equal(joined(list(read_blocks(tmp_path / "a.wav", side=1))), tone(f0_hz=500.0))
    with pytest.raises(SoundFileError, match="no channel 3"):
        read_blocks(tmp_path / "a.wav", side=2)


def test_samples_that_are_not_numbers_are_passed_on(tmp_path: Path) -> None:
    sound = np.stack((tone(), tone()), axis=1)
    sound[100] = math.nan
    sound[200] = (math.inf, -math.inf)
    sound[300, 0] = math.inf
    soundfile.write(tmp_path / "a.wav", sound, 48_000, subtype="FLOAT")
    read = joined(list(read_blocks(tmp_path / "a.wav")))
    assert list(np.flatnonzero(~np.isfinite(read))) == [100, 200, 300]


def test_a_file_without_frames_gives_no_blocks(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "a.wav", np.zeros(0, dtype=np.float32), 48_000)
    assert list(read_blocks(tmp_path / "a.wav")) == []
    assert sound_length_seconds(tmp_path / "a.wav") == 0.0


def whole_wav(path: Path) -> bytes:
    with wave.open(str(path), "wb") as opened:
        opened.setnchannels(1)
        opened.setsampwidth(2)
        opened.setframerate(48_000)
        opened.writeframes((tone() * 32_767).astype("<i2").tobytes())
    return path.read_bytes()


@pytest.mark.parametrize("kept_bytes", [0, 1, 4, 11, 12, 20, 30])
def test_a_header_that_breaks_off_is_told(tmp_path: Path, kept_bytes: int) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(whole_wav(path)[:kept_bytes])
    with pytest.raises(SoundFileError) as told:
        list(read_blocks(path))
    assert str(path) in str(told.value)
    assert told.value.exit_status == 4


def test_a_recorder_that_died_leaves_what_it_had_written(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    whole = whole_wav(path)
    path.write_bytes(whole[: 44 + 20_000])  # the header still promises everything
    assert len(joined(list(read_blocks(path)))) == 10_000


def test_a_header_that_promises_the_moon_costs_no_memory(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    whole = bytearray(whole_wav(path))
    struct.pack_into("<I", whole, 40, 0xFFFF_FFF0)
    path.write_bytes(whole)
    assert len(joined(list(read_blocks(path)))) == len(tone())


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"title: not a recording\n",
        b"\x00" * 5_000,
        b"RIFF\x00\x00\x00\x00WAVE",
        b"fLaC" + b"\xff" * 300,
        b"OggS" + b"\x00" * 300,
        b"\x89PNG\r\n\x1a\n" + b"\x01" * 300,
        b"\xff\xfb" + b"no layer three" * 20,
        b"\x00\x00\x00\x20ftypM4A " + b"\x00" * 300,
        bytes(range(256)) * 20,
    ],
)
@pytest.mark.parametrize("suffix", [".wav", ".mp3", ".raw", ""])
def test_what_is_not_a_recording_is_told(tmp_path: Path, content: bytes, suffix: str) -> None:
    path = tmp_path / f"a{suffix}"
    path.write_bytes(content)
    with pytest.raises(SoundFileError) as told:
        list(read_blocks(path))
    assert told.value.do


def test_random_bytes_behind_a_good_head_never_escape(tmp_path: Path) -> None:
    heads = {}
    for kind in ("WAV", "FLAC", "OGG", "MP3"):
        path = tmp_path / f"whole.{kind.lower()}"
        soundfile.write(path, tone(), 48_000, format=kind)
        heads[kind] = path.read_bytes()
    random = np.random.default_rng(3)
    broken = 0
    for number in range(80):
        kind = ("WAV", "FLAC", "OGG", "MP3")[number % 4]
        content = bytearray(heads[kind])
        for place in random.integers(0, len(content), 40):
            content[place] = int(random.integers(0, 256))
        path = tmp_path / f"{number}.{kind.lower()}"
        path.write_bytes(content[: int(random.integers(10, len(content)))])
        try:
            list(read_blocks(path))
        except SoundFileError:
            broken += 1
    assert broken > 0  # some were really beyond reading


def test_a_missing_file_a_folder_and_a_pipe_are_told(tmp_path: Path) -> None:
    with pytest.raises(SoundFileError, match="no such"):
        read_blocks(tmp_path / "nothing.wav")
    with pytest.raises(SoundFileError, match="folder"):
        read_blocks(tmp_path)
    with pytest.raises(SoundFileError):
        read_blocks("a\0b.wav")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.wav")
        with pytest.raises(SoundFileError, match="ordinary"):
            read_blocks(tmp_path / "pipe.wav")


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole_wav(tmp_path / "a.wav")
    import builtins

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(builtins, "open", refuse)  # root may read anything, so the refusal is made here
    with pytest.raises(SoundFileError, match="may not be read"):
        read_blocks(tmp_path / "a.wav")


@pytest.mark.skipif(os.name != "posix", reason="names are bytes only there")
def test_a_name_that_is_no_text_is_read_all_the_same(tmp_path: Path) -> None:
    path = os.fsdecode(os.fsencode(tmp_path) + b"/\xff\xe4.wav")
    Path(path).write_bytes(whole_wav(tmp_path / "a.wav"))
    assert len(joined(list(read_blocks(path)))) == len(tone())


def test_memory_stays_flat_for_an_hour_of_sound(tmp_path: Path) -> None:
    path = tmp_path / "hour.wav"
    with soundfile.SoundFile(path, "w", samplerate=8_000, channels=2, subtype="PCM_16") as opened:
        minute = np.stack((tone(60.0, 8_000), tone(60.0, 8_000)), axis=1)
        for _ in range(60):
            opened.write(minute)
    tracemalloc.start()
    frames = sum(len(block.samples) for block in read_blocks(path))
    _, peak_bytes = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert frames == 3_600 * 8_000
    assert peak_bytes < 10_000_000  # the whole hour would be 230 MB as float32
