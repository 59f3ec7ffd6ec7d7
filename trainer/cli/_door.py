"""The outermost door: whatever happens inside becomes words on stderr and an exit status.

The one place where every exception is caught. A user who wants the whole trace of a fault sets HELDLINE_TRACEBACK=1.
"""

from __future__ import annotations

import contextlib
import errno
import importlib
import os
import signal
import sys
import threading
from collections.abc import Iterator
from types import FrameType
from typing import Any

from trainer.cli._aside import aside
from trainer.cli._instead import without_it
from trainer.cli._parser import parse
from trainer.errors import HeldlineError

DONE, FILE_FAULT, INTERRUPTED, TERMINATED = 0, 4, 130, 143
NOT_READ = 141
"""Whoever read our output had enough, as in ``| head``: what a shell says of a program that SIGPIPE ended (128 + 13), in silence."""


class Terminated(BaseException):
    """A terminate signal arrived; not an Exception, so that nothing on the way swallows it."""


def guarded(argv: list[str]) -> int:
    """The exit status of one command line."""
    _open_closed_streams()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a title in letters that the terminal lacks is shown by its codes
            stream.reconfigure(errors="backslashreplace")
    try:
        with _terminate_raises():
            status = _run(argv)
            sys.stdout.flush()
            return status
    except HeldlineError as err:
        return _say(str(err), err.exit_status)
    except SystemExit as err:  # help and version leave this way
        return err.code if isinstance(err.code, int) else DONE
    except KeyboardInterrupt:
        return _say("stopped", INTERRUPTED)
    except Terminated:
        return _say("stopped by a terminate signal", TERMINATED)
    except BrokenPipeError:
        _forget_stdout()
        return NOT_READ
    except MemoryError:
        return _say("there is not enough memory for this\n  try a shorter recording or score", FILE_FAULT)
    except OSError as err:
        return _say(_told(err), FILE_FAULT)
    except Exception as err:
        if os.environ.get("HELDLINE_TRACEBACK"):
            raise
        return _say(_unforeseen(err), FILE_FAULT)


def _open_closed_streams() -> None:
    """A stream that was closed before we began is None in Python: what is written to it vanishes, and there is nothing to read."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 - for the life of the process


def _run(argv: list[str]) -> int:
    args = parse(argv)
    module = importlib.import_module(f"trainer.cli.{args.command or '_greeting'}")
    with without_it(args.command or "sing"):
        status: int = module.run(args)
    return status


def _say(message: str, status: int) -> int:
    with contextlib.suppress(OSError, ValueError):  # stderr may be closed or full as well
        sys.stderr.write(aside(f"heldline: {message}") + "\n")
        sys.stderr.flush()
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        _forget_stdout()
    return status


def _forget_stdout() -> None:
    """Point stdout at nothing, so that the interpreter's own last flush cannot fail."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _told(err: OSError) -> str:
    if err.errno in (errno.ENOSPC, errno.EDQUOT):
        return "the disk is full\n  make room and run this again"
    where = f"\n  {err.filename}" if err.filename else ""
    return f"{(err.strerror or str(err)).lower()}{where}\n  check the name and that you may use it"


def _unforeseen(err: Exception) -> str:
    place = err.__traceback__
    while place is not None and place.tb_next is not None:
        place = place.tb_next
    where = f"{os.path.basename(place.tb_frame.f_code.co_filename)}, line {place.tb_lineno}" if place else ""
    return (
        f"this is a fault of heldline, not of yours: {type(err).__name__}: {err}\n  {where}\n"
        "  set HELDLINE_TRACEBACK=1 and run it again to see the whole trace"
    )


@contextlib.contextmanager
def _terminate_raises() -> Iterator[None]:
    """SIGTERM raises Terminated, so that files are closed on the way out. Only the main thread may ask for signals."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def arrived(_: int, __: FrameType | None) -> None:
        raise Terminated

    before: Any = signal.signal(signal.SIGTERM, arrived)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
