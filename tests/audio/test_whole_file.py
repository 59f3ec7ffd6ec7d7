"""Sound out: whole or not at all, whatever the disk does."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

import audio.whole_file
from audio.errors import SettingError, SignalError, SoundFileError
from audio.soundfile_io import read_blocks, write_pieces, write_sound

CHECKOUT = Path(audio.whole_file.__file__).parents[1]


def sound(seconds: float = 0.5) -> np.ndarray:
    return (0.4 * np.random.default_rng(1).standard_normal(round(48_000 * seconds)).clip(-2, 2)).astype(np.float32)


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".WAV"])
@pytest.mark.parametrize("bits", [16, 24])
def test_what_is_written_is_read_back(tmp_path: Path, suffix: str, bits: int) -> None:
    write_sound(tmp_path / f"a{suffix}", sound(), 44_100, bits=bits)
    blocks = list(read_blocks(tmp_path / f"a{suffix}"))
    read = np.concatenate([block.channel("mic1") for block in blocks])
    assert blocks[0].rate_hz == 44_100
    assert np.max(np.abs(read - sound())) <= 1.0 / 2 ** (bits - 1)


def test_two_channels_stay_two(tmp_path: Path) -> None:
    both = np.stack((sound(), -sound()), axis=1)
    write_sound(tmp_path / "a.wav", both, 48_000, bits=24)
    read, _ = soundfile.read(tmp_path / "a.wav", dtype="float32")
    assert np.allclose(read, both, atol=2e-7)


def test_pieces_and_the_whole_are_the_same_bytes(tmp_path: Path) -> None:
    table = sound().reshape(-1, 1)
    write_sound(tmp_path / "whole.wav", table, 48_000)
    frames = write_pieces(
        tmp_path / "cut.wav", (table[k : k + 700] for k in range(0, len(table), 700)), 48_000, channel_count=1
    )
    assert frames == len(table)
    assert (tmp_path / "cut.wav").read_bytes() == (tmp_path / "whole.wav").read_bytes()


@pytest.mark.parametrize("bits", [16, 24])
@pytest.mark.parametrize("name", ["a.wav", "a.flac"])
def test_too_loud_is_held_at_the_edge_and_never_wraps(tmp_path: Path, name: str, bits: int) -> None:
    write_sound(tmp_path / name, np.array([0.0, 1.5, -1.5, 1.0], dtype=np.float32), 48_000, bits=bits)
    read, _ = soundfile.read(tmp_path / name)
    assert np.allclose(read, [0.0, 1.0, -1.0, 1.0], atol=1e-4)


def test_a_sample_that_is_not_a_number_is_refused_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(SignalError):
        write_sound(tmp_path / "a.wav", np.array([0.0, np.nan], dtype=np.float32), 48_000)
    assert list(tmp_path.iterdir()) == []


def test_an_existing_file_is_replaced_only_when_the_new_one_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    write_sound(path, sound(), 48_000)
    before = path.read_bytes()

    def breaks_off() -> Iterator[np.ndarray]:
        yield sound().reshape(-1, 1)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_pieces(path, breaks_off(), 48_000, channel_count=1)
    assert path.read_bytes() == before
    assert [found.name for found in tmp_path.iterdir()] == ["a.wav"]
    write_sound(path, sound(0.1), 48_000)
    assert path.read_bytes() != before


LITTLE_ROOM = """
import resource, sys
import numpy as np
from audio.errors import SoundFileError
from audio.soundfile_io import write_sound
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))  # writing on fails as on a full disk
try:
    write_sound(sys.argv[2], np.random.default_rng(1).uniform(-1, 1, 96_000).astype("float32"), 48_000)
except SoundFileError as err:
    print(err.what)
"""


@pytest.mark.skipif(os.name != "posix", reason="no limits on files there")
@pytest.mark.parametrize("room_bytes", [0, 20, 5_000, 100_000, 180_000])
@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_no_room_is_one_clear_error_and_no_half_file(tmp_path: Path, room_bytes: int, suffix: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", LITTLE_ROOM, str(room_bytes), tmp_path / f"a{suffix}"],
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
    )
    assert ran.stdout == "the file would grow larger than this system allows\n"
    assert ran.stderr == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="no limits on files there")
def test_just_enough_room_is_enough(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", LITTLE_ROOM, "192044", tmp_path / "a.wav"], capture_output=True, text=True, cwd=CHECKOUT
    )
    assert ran.stdout + ran.stderr == ""
    assert (tmp_path / "a.wav").stat().st_size == 192_044  # 44 bytes of header, two a sample


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT])
def test_a_full_disk_is_called_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int) -> None:
    class Full(soundfile.SoundFile):
        def write(self, data: Any) -> None:
            raise AssertionError  # as soundfile does when fewer frames were taken

    real = open

    def full(path: Any, mode: str = "r") -> Any:
        if mode == "ab":
            raise OSError(code, "no more")
        return real(path, mode)

    monkeypatch.setattr(soundfile, "SoundFile", Full)
    monkeypatch.setattr(audio.whole_file, "open", full, raising=False)
    with pytest.raises(SoundFileError, match="disk is full") as told:
        write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert told.value.exit_status == 4
    assert list(tmp_path.iterdir()) == []


INTERRUPTED = """
import os, signal, sys
import numpy as np
from audio.soundfile_io import write_pieces
def pieces():
    for k in range(400):
        if k == 20:
            os.kill(os.getpid(), signal.SIGALRM) if sys.argv[2] == "now" else signal.setitimer(signal.ITIMER_REAL, 1e-4)
        yield np.zeros((20_000, 1), dtype="float32") + 0.1
def stop(*_):
    raise KeyboardInterrupt
signal.signal(signal.SIGALRM, stop)
try:
    write_pieces(sys.argv[1], pieces(), 48_000, channel_count=1)
except KeyboardInterrupt:
    print("stopped")
"""


@pytest.mark.skipif(os.name != "posix", reason="no such signals there")
@pytest.mark.parametrize("when", ["now", "soon"])
@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_an_interruption_arrives_wherever_it_falls(tmp_path: Path, suffix: str, when: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", INTERRUPTED, tmp_path / f"a{suffix}", when], capture_output=True, text=True, cwd=CHECKOUT
    )
    assert ran.stdout == "stopped\n"
    assert ran.stderr == ""
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fails_only_at_the_last_moment_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(SoundFileError, match="disk is full"):
        write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert list(tmp_path.iterdir()) == []


def test_an_old_file_outlives_a_renaming_that_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_sound(tmp_path / "a.wav", sound(), 48_000)
    before = (tmp_path / "a.wav").read_bytes()

    def fails(*_: object) -> None:
        raise PermissionError(errno.EACCES, "in use")

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(SoundFileError):
        write_sound(tmp_path / "a.wav", sound(0.1), 48_000)
    assert (tmp_path / "a.wav").read_bytes() == before
    assert [found.name for found in tmp_path.iterdir()] == ["a.wav"]


def test_bad_places_are_told(tmp_path: Path) -> None:
    (tmp_path / "folder.wav").mkdir()
    with pytest.raises(SoundFileError, match="folder of this name"):
        write_sound(tmp_path / "folder.wav", sound(), 48_000)
    with pytest.raises(SoundFileError, match="no such folder"):
        write_sound(tmp_path / "nowhere" / "a.wav", sound(), 48_000)
    (tmp_path / "file").write_text("x")
    with pytest.raises(SoundFileError, match="no such folder"):
        write_sound(tmp_path / "file" / "a.wav", sound(), 48_000)
    with pytest.raises(SoundFileError):
        write_sound(tmp_path / ("n" * 300 + ".wav"), sound(), 48_000)
    with pytest.raises(SoundFileError):
        write_sound("a\0b.wav", sound(), 48_000)
    assert sorted(found.name for found in tmp_path.iterdir()) == ["file", "folder.wav"]


def test_a_device_is_never_replaced_by_a_file(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes on this system")
    os.mkfifo(tmp_path / "a.wav")
    with pytest.raises(SoundFileError, match="ordinary"):
        write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert stat.S_ISFIFO(os.stat(tmp_path / "a.wav").st_mode)


def test_a_file_that_may_not_be_changed_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.wav").write_bytes(b"mine")
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may change anything, so the refusal is made here
    with pytest.raises(SoundFileError, match="may not be changed"):
        write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert (tmp_path / "a.wav").read_bytes() == b"mine"


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links on this system")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "b.wav").write_bytes(b"old")
    (tmp_path / "a.wav").symlink_to(tmp_path / "real" / "b.wav")
    write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert (tmp_path / "a.wav").is_symlink()
    assert soundfile.info(tmp_path / "real" / "b.wav").frames == len(sound())


@pytest.mark.parametrize("name", ["a.mp3", "a", "a.ogg", ".wav"])
def test_another_ending_is_wrong_usage(tmp_path: Path, name: str) -> None:
    with pytest.raises(SettingError) as told:
        write_sound(tmp_path / name, sound(), 48_000)
    assert told.value.exit_status == 2


def test_the_file_has_the_usual_permissions(tmp_path: Path) -> None:
    (tmp_path / "other").write_bytes(b"")
    write_sound(tmp_path / "a.wav", sound(), 48_000)
    assert stat.S_IMODE((tmp_path / "a.wav").stat().st_mode) == stat.S_IMODE((tmp_path / "other").stat().st_mode)
