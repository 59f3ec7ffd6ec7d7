"""Steps with two bodies: which one is taken, where machine code is kept, and that nothing of it is ever seen."""

from __future__ import annotations

import gc
import os
import stat
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from audio import compiled

ROOT = Path(__file__).resolve().parents[2]
TWIN = """
SIGNATURE = "void(int64[::1])"


def add(out, more):
    out[0] += more


def doubled(out):
    add(out, out[0] + FROM_AFAR - FROM_AFAR)


FROM_AFAR = 7
HELPERS = (add,)
"""


def plainly_doubled(out):
    out *= 2


@pytest.fixture
def step(tmp_path, monkeypatch):
    """One step of which a compiled body is in a package of its own; no other is touched."""
    package = tmp_path / f"twins_{tmp_path.name.strip('_')}"
    package.mkdir()
    (package / "__init__.py").touch()
    (package / "doubled.py").write_text(TWIN)
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.delenv(compiled.VARIABLE, raising=False)
    monkeypatch.setattr(compiled, "STEPS", [])
    return compiled.Step(plainly_doubled, package.name, "doubled")


def doubled(step):
    out = np.array([21], dtype=np.int64)
    step.now(out)
    return out[0]


def made(step, folder):
    """The thread's work, waited for."""
    compiled.make(folder)
    return step.now is not step.plain


def test_a_step_begins_plain_and_a_child_compiles_it_for_this_time_and_the_next(step, tmp_path):
    folder = tmp_path / "kept"
    older = folder / "0123456789abcdef"  # of a version before this one
    older.mkdir(parents=True)
    assert doubled(step) == 42
    compiled._load_kept(folder)
    assert step.now is step.plain  # nothing is kept yet, and nothing is compiled here
    assert made(step, folder)
    assert doubled(step) == 42
    assert step.now.stats.cache_hits
    compiled.plain()
    assert step.now is step.plain
    assert older.exists()  # another version here may still want it
    os.utime(older, (0, 0))
    compiled._load_kept(folder)
    assert step.now is not step.plain
    assert not older.exists()


def test_what_numba_keeps_is_never_looked_through_for_garbage_in_the_middle_of_a_take(step, tmp_path):
    before = gc.get_freeze_count()
    compiled.load(tmp_path)
    assert gc.get_freeze_count() > before
    loaded = gc.get_freeze_count()
    compiled.load(tmp_path)  # nothing new
    assert gc.get_freeze_count() == loaded


def test_without_a_writable_folder_it_stays_plain_and_says_nothing(step, tmp_path, capfd):
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(stat.S_IRUSR | stat.S_IXUSR)
    if os.access(closed, os.W_OK):  # root may write anywhere, but not below a file
        closed = tmp_path / "file"
        closed.write_text("")
    assert not made(step, closed / "kept")
    assert doubled(step) == 42
    assert capfd.readouterr() == ("", "")


def test_where_numba_does_not_load_or_must_not_compile_it_stays_plain(step, tmp_path, monkeypatch, capfd):
    with monkeypatch.context() as within:
        within.setitem(sys.modules, "numba", None)
        assert not made(step, tmp_path)
        assert not compiled.load(None)
    import numba

    monkeypatch.setattr(numba.config, "DISABLE_JIT", 1)
    assert not made(step, tmp_path)
    assert not compiled.load(None)
    assert capfd.readouterr() == ("", "")


def test_the_variable_keeps_every_step_plain(step, tmp_path, monkeypatch):
    monkeypatch.setenv(compiled.VARIABLE, "no")
    monkeypatch.setattr(compiled.threading, "Timer", None)  # none is begun
    assert not compiled.load(tmp_path)
    compiled.load_behind(tmp_path)
    compiled.make_behind(tmp_path)


def test_the_folder_is_another_when_any_of_our_source_is_another_or_elsewhere_or_written_anew(tmp_path, monkeypatch):
    found = [compiled._kept(tmp_path), compiled._kept(tmp_path)]
    assert found[0] == found.pop()
    for place in ("one", "two"):
        source = tmp_path / place / "units.py"
        source.parent.mkdir()
        for text, written_s in (("A = 1", 1), ("A = 1", 2), ("A = 2", 2)):
            source.write_text(text)
            os.utime(source, (written_s, written_s))
            monkeypatch.setattr(compiled, "_AUDIO", source.parent)
            found.append(compiled._kept(tmp_path))
    assert len(set(found)) == 7


def test_a_folder_that_may_not_be_looked_into_is_no_word_on_the_screen(step, monkeypatch, capfd):
    def refused(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(compiled, "_filled", refused)
    for work in (compiled._load_kept, compiled.make):
        assert work(Path("/")) is False
    assert capfd.readouterr() == ("", "")


def test_a_program_that_asked_often_ends_at_once():
    asks = (
        "from pathlib import Path; from audio import compiled; import audio.resample, numba, time\n"
        "for _ in range(3): compiled.load_behind(Path('nowhere'))\n"
        "began = time.monotonic(); import atexit; atexit.register(lambda: None); atexit._run_exitfuncs()\n"
        "print(time.monotonic() - began)"
    )
    env = {**os.environ, compiled.VARIABLE: "yes"}
    told = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, cwd=ROOT, env=env, check=True)
    assert float(told.stdout) < 4


def test_a_child_ends_with_its_parent():
    waits = (
        "import threading; from audio import compiled\n"
        "threading.Thread(target=compiled._end_with_parent, daemon=True).start(); print('ready', flush=True); threading.Event().wait(60)"
    )
    child = subprocess.Popen([sys.executable, "-c", waits], stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT)
    child.stdout.readline()
    child.stdin.close()
    assert child.wait(10) == 1
    child.stdout.close()


def test_what_is_made_behind_begins_only_after_the_time_that_was_given(monkeypatch, tmp_path):
    begun = []
    monkeypatch.delenv(compiled.VARIABLE, raising=False)
    monkeypatch.setattr(compiled.atexit, "register", lambda *told: None)
    monkeypatch.setattr(compiled.threading.Timer, "start", lambda timer: begun.append((timer.interval, timer.args)))
    compiled.make_behind(tmp_path, 8.0)
    compiled.load_behind(tmp_path)
    assert begun == [(8.0, (tmp_path,)), (0.0, (tmp_path,))]


def test_a_folder_whose_time_cannot_be_set_is_taken_from_all_the_same(step, tmp_path, monkeypatch):
    def refused(*_):
        raise PermissionError

    assert made(step, tmp_path / "kept")
    compiled.plain()
    monkeypatch.setattr(compiled.os, "utime", refused)
    assert compiled.load(tmp_path / "kept")
    assert step.now is not step.plain
    assert doubled(step) == 42
