"""Killed, stopped, two at once, no right to write, no room: the verdict is printed and nothing is lost."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from full_disk import by_hand, nearly_full
from heldline_command import heldline
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score
from session_rig import DELAY

from audio.devices.fake import FakeSound
from trainer.cli import _door
from trainer.cli._live import run_session
from trainer.cli._parser import parse
from trainer.live.desk import Desk
from trainer.live.session import Session
from trainer.live.state import Face
from trainer.live.wish import Wish
from trainer.places import places
from trainer.takes.keeping import open_store

ROOT = Path(__file__).resolve().parents[3]

# A take that never ends by itself: the real command with frames that go on and on, as a microphone's would.
ENDLESS = """
import itertools, sys, time
import trainer.takes.recording as recording
from audio.heard import PitchFrame
def endless(path, side=None):
    for k in itertools.count():
        if k >= 400:
            time.sleep(0.005)  # a hop's length, as a microphone would take
            print("frame", k, file=sys.stderr, flush=True)
        yield PitchFrame(0, 120 * k, 690_000, 2, True, 950, -200, -600)
recording.heard_in = endless
from trainer.cli import main
sys.exit(main(sys.argv[1:]))
"""

# Nobody may not read this Python's own folders, so everything is loaded by a first take before the right to read is given up.
AS_NOBODY = """
import contextlib, io, os, sqlite3, sys
import trainer.log.store, trainer.takes.keeping
from trainer.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    main([*sys.argv[1:], "--no-log"])
if os.geteuid() == 0:
    os.setgid(65534); os.setuid(65534)
sys.exit(main(sys.argv[1:]))
"""


def start_endless(score: Path, *words: str) -> subprocess.Popen[bytes]:
    child = subprocess.Popen(
        [sys.executable, "-c", ENDLESS, "sing", str(score), "--voice", "soprano", "--input", "x", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        preexec_fn=lambda: signal.signal(
            signal.SIGINT, signal.default_int_handler
        ),  # tests in the background ignore it
    )
    assert child.stderr is not None
    assert child.stderr.readline() == b"frame 400\n"
    return child


def finish(child: subprocess.Popen[bytes]) -> tuple[int, str, str]:
    out, err = child.communicate(timeout=60)
    return child.returncode, out.decode(), err.decode()


def test_a_killed_take_loses_no_more_than_a_second(score: Path) -> None:
    child = start_endless(score)
    assert child.stderr is not None
    while child.stderr.readline() != b"frame 720\n":  # more than a second and a half of singing
        pass
    child.kill()
    status, out, err = finish(child)
    assert status == -signal.SIGKILL
    assert out == ""
    last = int(err.split()[-1]) if err.split() else 720
    done = heldline("takes", "--json")
    assert "a take that was stopped is now take 1" in done.err
    (entry,) = done.table["takes"]
    assert entry["whole"] is False
    from trainer.log.store import Store

    with Store(places().takes) as store:
        heard = store.get(1).heard
    assert len(heard) >= last - 200  # a second is two hundred hops
    assert [frame.centre_frame for frame in heard] == list(range(0, 120 * len(heard), 120))


@pytest.mark.parametrize(("number", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_a_signal_ends_the_take_in_words_and_keeps_it(score: Path, number: signal.Signals, status: int) -> None:
    child = start_endless(score)
    child.send_signal(number)
    ended, out, err = finish(child)
    assert ended == status
    assert out == ""
    assert "stopped" in err
    assert "Traceback" not in err
    assert len(heldline("takes", "--json").table["takes"]) == 1


def test_a_take_under_way_is_not_taken_from_its_program(score: Path, good: Path) -> None:
    child = start_endless(score)
    try:
        done = heldline("sing", score, "--voice", "soprano", "--input", good, "--json")
        assert (done.status, done.err) == (0, "")
        assert len(heldline("takes", "--json").table["takes"]) == 1
        assert heldline("takes", "purge", "--yes").status == 0
        assert len(list(places().running.glob("*.take"))) == 1
    finally:
        child.kill()
        finish(child)
    assert len(heldline("takes", "--json").table["takes"]) == 1


def test_two_programs_at_once_both_keep_their_takes(score: Path, good: Path) -> None:
    words = [sys.executable, "-m", "trainer", "sing", str(score), "--voice", "soprano", "--input", str(good), "--json"]
    children = [
        subprocess.Popen(
            words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)}
        )
        for _ in range(3)
    ]
    ended = [finish(child) for child in children]
    assert [status for status, _, _ in ended] == [0, 0, 0]
    assert len({out for _, out, _ in ended}) == 1
    assert [err for _, _, err in ended] == ["", "", ""]
    assert len(heldline("takes", "--json").table["takes"]) == 3


def test_a_home_that_may_not_be_written_costs_one_sentence_and_no_verdict(
    score: Path, good: Path, own_home: Path, tmp_path: Path
) -> None:
    own_home.mkdir(mode=0o555)
    for path in (tmp_path, *tmp_path.parents[:3]):  # pytest and its workers make their folders for one user alone
        path.chmod(0o755)
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, "sing", score, "--voice", "soprano", "--input", good, "--json"],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert '"heldline.take/1"' in done.stdout
    assert "kept" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(own_home.iterdir()) == []


@pytest.mark.parametrize("how", ["disk", "by hand"])
@pytest.mark.parametrize("room_pages", [0, 2, 7])
def test_a_full_disk_costs_a_sentence_and_no_verdict(
    score: Path, good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str, room_pages: int
) -> None:
    disk = tmp_path / "disk"
    monkeypatch.setenv("HELDLINE_HOME", str(disk))
    with nearly_full(disk, room_pages=room_pages) if how == "disk" else by_hand(room_pages):
        done = heldline("sing", score, "--voice", "soprano", "--input", good, "--json")
    assert done.status == 0
    assert done.table["result"]["held"] == 2
    assert "the disk is full" in done.err
    assert "Traceback" not in done.err
    assert done.err.count("heldline: ") <= 2


def test_a_closed_stdin_has_nothing_to_say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", None)  # as Python has it where descriptor 0 was closed
    assert _door.guarded(["takes", "purge"]) == 2
    sys.stdin.close()
    assert "0 takes would be deleted for good" in capsys.readouterr().err


class HadEnough(io.StringIO):
    """A stream whose reader leaves after these words."""

    def __init__(self, after: str) -> None:
        super().__init__()
        self._after = after

    def flush(self) -> None:
        if self._after in self.getvalue():
            raise BrokenPipeError


def test_a_recordings_take_is_kept_whole_where_nobody_reads_its_report(
    score: Path, good: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(_door, "_forget_stdout", lambda: None)
    with HadEnough("Best") as out, monkeypatch.context() as change:
        change.setattr(sys, "stdout", out)
        assert _door.guarded(["sing", str(score), "--voice", "soprano", "--input", str(good)]) == 141
    assert capsys.readouterr().err == "heldline: kept as take 1; see it again with heldline review\n"
    told: list[str] = []
    with open_store(places(), told.append) as store:
        assert [entry.whole for entry in store.entries()] == [True]
    assert told == []


def test_a_live_take_whose_reader_had_enough_ends_there_and_is_kept_as_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ, block_frames=480)
    wish = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR), look_through_seconds=0)
    told: list[str] = []
    made: list[Session] = []

    def make(face: Face) -> Session:
        made.append(Session(link, wish, DELAY, face, wait=link.advance_seconds, places=places(), tell=told.append))
        return made[0]

    with HadEnough("Bar 1: ") as out, monkeypatch.context() as change:
        change.setattr(sys, "stdout", out)
        came = run_session(parse(["sing", "1", "--voice", "tenor", "--plain"]), make)
        assert "Bar 2: " not in out.getvalue()
    begun = made[0]._player.begun
    assert begun is not None
    assert link.write_until() < begun.end_frame
    assert (came.interrupted, came.numbers) == ("unread", [1])
    with open_store(places(), told.append) as store:
        assert len(store.entries()) == 1
    assert told == []


def test_a_full_disk_behind_stdout_is_told(score: Path, good: Path) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "trainer", "library"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            check=False,
        )
    assert done.returncode == 4
    assert "the disk is full" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("fault", "status", "says"),
    [
        (MemoryError(), 4, "not enough memory"),
        (KeyboardInterrupt(), 130, "stopped"),
        (OSError(28, "No space left on device"), 4, "the disk is full"),
        (OSError(13, "Permission denied", "/root/x"), 4, "/root/x"),
        (RecursionError("too deep"), 4, "a fault of heldline"),
        (BrokenPipeError(), 141, ""),
    ],
)
def test_whatever_happens_inside_becomes_words(
    fault: BaseException, status: int, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: object) -> int:
        raise fault

    monkeypatch.setattr(_door, "_run", fail)
    monkeypatch.setattr(_door, "_forget_stdout", lambda: None)
    done = heldline("library")
    assert done.status == status
    assert says in done.err
    assert "Traceback" not in done.err


def test_a_fault_of_ours_shows_its_trace_when_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> int:
        raise ZeroDivisionError

    monkeypatch.setattr(_door, "_run", fail)
    monkeypatch.setenv("HELDLINE_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        heldline("library")


def test_a_terminal_without_stderr_still_gets_its_status() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "trainer", "sing", "1"],
        stdout=subprocess.DEVNULL,
        stderr=None,
        close_fds=True,
        preexec_fn=lambda: os.close(2),
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode == 3
