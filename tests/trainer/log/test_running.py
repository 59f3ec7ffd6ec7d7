"""Takes under way: written as they are heard, found after a program died, torn ends left."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from handmade_takes import heard_everything

from trainer.errors import LogError
from trainer.log.attempt import Attempt
from trainer.log.records import read_running
from trainer.log.running import FLUSH_SECONDS, Running, left_over

MakeAttempt = Callable[..., Attempt]


class Clock:
    """Seconds that stand still until they are moved."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_what_was_written_is_found_as_a_take_that_was_stopped(tmp_path: Path, attempt: MakeAttempt) -> None:
    running = Running(tmp_path, attempt(heard=()))
    assert list(running.keep(heard_everything())) == heard_everything()
    running.close()
    with left_over(tmp_path) as found:
        (one,) = list(found)
    assert one.attempt == replace(attempt(), whole=False)


def test_a_take_that_is_still_running_is_left_alone(tmp_path: Path, attempt: MakeAttempt) -> None:
    running = Running(tmp_path, attempt(heard=()))
    running.write(heard_everything()[0])
    with left_over(tmp_path) as found:
        assert list(found) == []
    running.close()
    with left_over(tmp_path) as found:
        assert len(list(found)) == 1


def test_no_more_than_half_a_second_waits_to_be_written(tmp_path: Path, attempt: MakeAttempt) -> None:
    clock = Clock()
    running = Running(tmp_path, attempt(heard=()), clock)
    records = heard_everything()
    for record in records[:10]:
        running.write(record)
    clock.now += FLUSH_SECONDS
    running.write(records[10])
    on_disk = read_running(running.path.read_bytes())
    assert on_disk is not None
    assert on_disk.heard == tuple(records[:11])
    running.drop()


def test_a_dropped_take_leaves_no_file(tmp_path: Path, attempt: MakeAttempt) -> None:
    running = Running(tmp_path, attempt(heard=()))
    running.drop()
    assert list(tmp_path.iterdir()) == []


def test_a_file_torn_at_any_byte_gives_what_was_whole(tmp_path: Path, attempt: MakeAttempt) -> None:
    running = Running(tmp_path, attempt(heard=()))
    records = heard_everything()
    for record in records:
        running.write(record)
    running.close()
    content = running.path.read_bytes()
    begin = content.index(b"\n") + 1
    counts = []
    for cut in range(len(content) + 1):
        found = read_running(content[:cut])
        if cut < begin:
            assert found is None
            continue
        assert found is not None
        assert found.heard == tuple(records[: len(found.heard)])
        counts.append(len(found.heard))
    assert counts == sorted(counts)
    assert counts[-1] == len(records)


def test_a_changed_byte_ends_the_line_there(tmp_path: Path, attempt: MakeAttempt) -> None:
    running = Running(tmp_path, attempt(heard=()))
    for record in heard_everything():
        running.write(record)
    running.close()
    content = bytearray(running.path.read_bytes())
    content[-40] ^= 0xFF
    found = read_running(bytes(content))
    assert found is not None
    assert 0 < len(found.heard) < len(heard_everything())


@pytest.mark.parametrize(
    "content", [b"", b"\n", b"{}\n", b"no json\n", b'{"format": "heldline.running/2"}\n', b"[1]\n"]
)
def test_what_is_no_take_is_told_apart(content: bytes) -> None:
    assert read_running(content) is None


def test_a_disk_that_fills_up_stops_the_writing_and_not_the_take(
    tmp_path: Path, attempt: MakeAttempt, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = Clock()
    running = Running(tmp_path, attempt(heard=()), clock)

    class Full:
        def write(self, _: bytes) -> int:
            raise OSError(errno.ENOSPC, "No space left on device")

        def close(self) -> None:
            pass

    real = running._file
    monkeypatch.setattr(running, "_file", Full())
    clock.now += 1
    assert list(running.keep(heard_everything())) == heard_everything()
    assert running.failure is not None
    assert "full" in running.failure.what
    running.wait()
    real.close()
    with left_over(tmp_path) as found:
        (one,) = list(found)
        assert one.attempt is not None
        assert not one.attempt.whole  # what the disk did not take is missing


@pytest.fixture
def open_files_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows, where an open file is neither deleted nor renamed."""

    def refused_while_open(real: Callable[..., None]) -> Callable[..., None]:
        def call(path: Path, *to: Path) -> None:
            for handle in range(3, 256):
                with contextlib.suppress(OSError):
                    if os.path.samestat(os.fstat(handle), os.stat(path)):
                        break
            else:
                return real(path, *to)
            raise PermissionError(errno.EACCES, "being used by another process")

        return call

    for name in ("unlink", "rename", "replace"):
        monkeypatch.setattr(os, name, refused_while_open(getattr(os, name)))


@pytest.mark.usefixtures("open_files_stay")
def test_where_open_files_cannot_be_deleted_or_renamed_takes_go_their_way_all_the_same(
    tmp_path: Path, attempt: MakeAttempt
) -> None:
    Running(tmp_path, attempt(heard=())).drop()
    assert list(tmp_path.iterdir()) == []
    waiting = Running(tmp_path, attempt(heard=()))
    waiting.wait()
    with left_over(tmp_path) as found:
        (one,) = list(found)
        assert one.attempt is not None
        assert one.attempt.whole
        one.drop()
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "torn.take").write_bytes(b"torn")
    with left_over(tmp_path) as found:
        assert [one.put_aside() for one in found] == [tmp_path / "torn.unreadable"]
    assert [path.name for path in tmp_path.iterdir()] == ["torn.unreadable"]


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path, attempt: MakeAttempt) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(LogError, match="cannot be kept"):
        Running(tmp_path / "file" / "running", attempt(heard=()))
