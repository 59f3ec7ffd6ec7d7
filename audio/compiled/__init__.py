"""Steps of the inner loops that have two bodies: plain numpy, and plain loops that numba makes machine code of.

Both give the same numbers to the last bit, so a stream may change from one to the other between any two calls. Every step begins plain;
``load`` and its two kinds behind the caller's back put the compiled body in its place. A computer on which numba does not load, or where
nothing may be written, stays plain and nobody is told, since nothing but the speed is different.

A compiled body is the function of the file's own name in a package of such files, written for numba but not decorated: it has
``SIGNATURE``, numba's, and ``HELPERS``, the functions that it calls. No transcendental functions in it, whose last bit is not
everywhere the same, and sums in the order of its twin's.

Nothing is compiled in a program that somebody is singing to: a child of lowest priority does it once a version, into a folder of
ours, named by a digest of all our source, since numba itself does not see when a constant of another file has changed.
"""

from __future__ import annotations

import atexit
import contextlib
import gc
import hashlib
import importlib
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Generic, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

VARIABLE = "HELDLINE_COMPILED"
"""Set to "no" and every step stays plain."""

KEPT_SECONDS = 7 * 24 * 3600.0

_START = "import sys; sys.path[:0] = [{root!r}]; from audio.compiled import fill; fill({folder!r}, {names!r})"
_AUDIO = Path(__file__).resolve().parents[1]


class Step(Generic[P, R]):
    """One step. It is called as ``step.now(...)``.

    Parameters
    ----------
    plain : callable
        Its numpy body.
    package, name : str
        Where its compiled body is: the function *name* of the module *name* of *package*.
    """

    __slots__ = ("name", "now", "package", "plain")

    def __init__(self, plain: Callable[P, R], package: str, name: str) -> None:
        self.plain, self.package, self.name = plain, package, name
        self.now = plain
        STEPS.append(self)


STEPS: list[Step[..., Any]] = []
"""Of all modules imported so far."""

_loading = threading.Lock()
_helped: set[Callable[..., Any]] = set()


def load(folder: Path | None) -> bool:
    """Take the compiled bodies of all steps known by now, compiling what *folder* lacks; whether all are there.

    Parameters
    ----------
    folder : Path or None
        Where machine code is kept from one time to the next; None keeps none.
    """
    if os.environ.get(VARIABLE) == "no":
        return False
    with _loading:
        try:
            kept = folder and _kept(folder)
            lacking = [step for step in STEPS if step.now is step.plain]
            for step in lacking:
                step.now = _compiled(step.package, step.name, kept)
            if lacking:
                gc.freeze()  # numba stays till the end; looking it through for garbage takes 70 ms each time
            if folder and kept:
                with contextlib.suppress(OSError):  # a folder that may only be read is as good
                    os.utime(kept)
                    _forget_unused(folder)
        except Exception:  # numba may fail in any way on a computer that we have not seen; the plain body is as good
            return False
    return True


def make(folder: Path) -> bool:
    """The same as ``load``, but a child compiles what *folder* lacks."""
    names = [(step.package, step.name) for step in STEPS]
    if os.environ.get(VARIABLE) == "no" or not names or not _numba_works():
        return False
    with contextlib.suppress(Exception):  # as in load
        if not _filled(folder, names):
            with subprocess.Popen(  # noqa: S603 - our own interpreter and module
                [sys.executable, "-c", _START.format(root=str(_AUDIO.parent), folder=str(folder), names=names)],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
                creationflags=getattr(subprocess, "IDLE_PRIORITY_CLASS", 0),  # where there is no nice
            ) as child:
                child.wait()
    return _load_kept(folder)


def load_behind(folder: Path) -> None:
    """The same in a thread, but only what is in *folder* by now: for what may be over soon."""
    _behind(_load_kept, folder)


def make_behind(folder: Path, after_seconds: float = 0.0) -> None:
    """As ``make``, in a thread that begins so much later: for what goes on for minutes."""
    _behind(make, folder, after_seconds)


def plain() -> None:
    """Back to the plain bodies."""
    for step in STEPS:
        step.now = step.plain


def fill(folder: str, names: list[tuple[str, str]]) -> None:
    """What the child does. It ends with its parent."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(19)
    Path(folder).mkdir(parents=True, exist_ok=True)
    kept = _kept(Path(folder))
    kept.mkdir(exist_ok=True)
    for package, name in names:
        _compiled(package, name, kept)
        (kept / f"{package}.{name}").touch()


def _behind(work: Callable[[Path], bool], folder: Path, after_seconds: float = 0.0) -> None:
    if os.environ.get(VARIABLE) != "no":
        atexit.unregister(_wait_for_loading)
        atexit.register(_wait_for_loading)
        thread = threading.Timer(after_seconds, work, (folder,))
        thread.daemon = True
        thread.start()


def _wait_for_loading() -> None:
    """The compiler must not be at work while its library is torn down, and from here on nobody begins to load."""
    _loading.acquire(timeout=5)


def _load_kept(folder: Path) -> bool:
    names = [(step.package, step.name) for step in STEPS]
    try:
        there = bool(names) and folder.is_dir() and _numba_works() and _filled(folder, names)
    except Exception:  # a folder that may not be looked into; as in load
        return False
    return there and load(folder)


def _filled(folder: Path, names: list[tuple[str, str]]) -> bool:
    kept = _kept(folder)
    return all((kept / f"{package}.{name}").exists() for package, name in names)


def _numba_works() -> bool:
    try:
        import numba

        return not numba.config.DISABLE_JIT
    except Exception:  # as in load
        return False


def _kept(folder: Path) -> Path:
    """The folder within *folder* for this source where it is, on this Python and processor.

    Where it is, and when it was written, since numba takes what it kept for the same file only.
    """
    import llvmlite.binding as llvm
    import numba
    import numpy as np

    digest = hashlib.sha256(repr((sys.version, numba.__version__, np.__version__)).encode())
    digest.update(f"{llvm.get_host_cpu_name()} {llvm.get_host_cpu_features().flatten()}".encode())
    for path in sorted(_AUDIO.rglob("*.py")):
        digest.update(f"{path} {path.stat().st_mtime_ns}".encode() + path.read_bytes())
    return folder / digest.hexdigest()[:16]


def _forget_unused(folder: Path) -> None:
    """What no version here has taken for a week."""
    for old in folder.iterdir():
        if old.is_dir() and time.time() - old.stat().st_mtime > KEPT_SECONDS:
            shutil.rmtree(old, ignore_errors=True)


def _compiled(package: str, name: str, kept: Path | None) -> Callable[..., Any]:
    import numba
    from numba.extending import register_jitable

    if numba.config.DISABLE_JIT:
        raise RuntimeError("numba has been told not to compile")
    module = importlib.import_module(f"{package}.{name}")
    for helper in module.HELPERS:
        if helper not in _helped:
            register_jitable(error_model="numpy")(helper)
            _helped.add(helper)
    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = "" if kept is None else str(kept)
    try:
        # without "numpy" a division may raise, and a loop that may raise is done element by element
        made: Callable[..., Any] = numba.njit(module.SIGNATURE, cache=kept is not None, error_model="numpy")(
            getattr(module, name)
        )
    finally:
        numba.config.CACHE_DIR = before
    return made


def _end_with_parent() -> None:
    sys.stdin.read()
    os._exit(1)
