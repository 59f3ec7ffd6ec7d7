"""A kept take looked at again: as it was judged before by the same code under the same settings, else judged anew.

The judge gives the same verdicts from the same line, so what it gave is kept. It is used only where none of the files that judge have
changed since: a name made of their sizes and times says so.
"""

from __future__ import annotations

import contextlib
import hashlib
from functools import cache
from pathlib import Path

from trainer.errors import LogError
from trainer.log.attempt import Attempt
from trainer.log.store import Store
from trainer.practice.settings import Settings
from trainer.practice.take import Performance

ROOT = Path(__file__).resolve().parents[1]
JUDGING = ("judge", "practice", "score", "takes/judging.py", "takes/own_time.py", "log/packed.py", "log/judged.py")


def recalled(store: Store, number: int, settings: Settings | None = None) -> tuple[Attempt, Performance]:
    """A take without what was heard, and its verdicts under *settings*, its own when None. Raises LogError."""
    cover = store.cover(number)
    wanted = settings or cover.settings
    found = store.judged_before(number, judge_name(), wanted)
    return cover, found if found is not None else judged_now(store, number, wanted)


def judged_now(store: Store, number: int, settings: Settings) -> Performance:
    """Judge a kept take, and keep what it came to for the next look."""
    from trainer.takes.keeping import judge_again

    performance = judge_again(store.get(number), settings)
    with contextlib.suppress(LogError):  # a full disk is in the way of keeping, not of looking
        store.keep_judged(number, judge_name(), settings, performance)
    return performance


@cache
def judge_name() -> str:
    """The judge's name: another one after any change to the files that judge."""
    told = hashlib.sha256()
    for place in JUDGING:
        path = ROOT / place
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            about = file.stat()
            told.update(f"{file.relative_to(ROOT)} {about.st_size} {about.st_mtime_ns}\n".encode())
    return told.hexdigest()[:16]
