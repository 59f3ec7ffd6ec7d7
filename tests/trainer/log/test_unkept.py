"""What is not to be kept lies in a private place and goes with its program, however that ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from trainer.log.locks import NO_WAIT, lock
from trainer.log.unkept import sweep, unkept

STAYS = """
import sys
from pathlib import Path
from trainer.log.unkept import unkept
with unkept(Path(sys.argv[1])) as folder:
    (folder / "takes.db").write_bytes(b"a take")
    print(folder, flush=True)
    sys.stdin.readline()
"""


def begun(where: Path) -> tuple[subprocess.Popen[str], Path]:
    process = subprocess.Popen(
        [sys.executable, "-c", STAYS, str(where)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    return process, Path(process.stdout.readline().strip())


def test_it_is_private_and_gone_once_it_is_left(tmp_path: Path) -> None:
    with unkept(tmp_path / "here") as folder:
        (folder / "takes.db").write_bytes(b"a take")
        assert folder.parent == tmp_path / "here"
        if os.name == "posix":
            assert folder.stat().st_mode & 0o077 == 0
    assert list((tmp_path / "here").iterdir()) == []


def test_what_a_killed_program_left_is_swept_at_the_next_start_and_what_another_holds_is_not(tmp_path: Path) -> None:
    killed, left = begun(tmp_path)
    working, held = begun(tmp_path)
    with killed, working:
        os.kill(killed.pid, signal.SIGKILL)
        killed.wait()
        assert (left / "takes.db").exists()
        sweep(tmp_path)
        assert not left.exists()
        assert (held / "takes.db").exists()
        working.communicate("\n", timeout=20)
    assert list(tmp_path.iterdir()) == []


def test_where_nothing_can_be_written_it_is_among_the_temporary_files(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with unkept(tmp_path / "file" / "here") as folder:
        assert folder.is_dir()
    assert not folder.exists()


def test_any_start_that_opens_the_takes_sweeps(tmp_path: Path, monkeypatch) -> None:
    from trainer.places import places
    from trainer.takes.keeping import open_store

    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    process, left = begun(places().unkept)
    with process:
        process.kill()
        process.wait()
    assert left.exists()
    with open_store(places(), print):
        assert not left.exists()


def test_a_sweep_deletes_no_file_that_another_start_may_have_taken_meanwhile(tmp_path: Path, monkeypatch) -> None:
    held = tmp_path / "left.held"
    held.write_bytes(b"")
    real, found = Path.unlink, []

    def watched(path: Path, missing_ok: bool = False) -> None:
        if path.exists():
            with path.open("r+b") as file:
                try:
                    lock(file, patience=NO_WAIT)
                except OSError:
                    found.append("under its lock")
                else:
                    found.append("free for anybody")
        real(path, missing_ok=missing_ok)

    monkeypatch.setattr(Path, "unlink", watched)
    sweep(tmp_path)
    assert found == ["under its lock"]
    assert not held.exists()
