"""Keeping takes: written down while they are heard, put into the database at their end, and never in the way of a verdict.

Whatever is wrong with the disk or the database is told once in words, and the take goes on. What could not be put into the database
stays in its own file and is put in at the next start.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from audio.heard import Anchor, Heard
from audio.units import RATE_HZ
from trainer import __version__
from trainer.errors import HeldlineError, LogError
from trainer.log.attempt import Attempt
from trainer.log.database import DamagedDatabase
from trainer.log.history import History
from trainer.log.running import Running, left_over
from trainer.log.store import BIN_DAYS, Store
from trainer.log.unkept import sweep
from trainer.places import Places
from trainer.practice.beside import UNKNOWN, Beside
from trainer.practice.settings import Settings
from trainer.practice.take import Performance, Take
from trainer.reports.findings import three_lines
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.outcomes import music, outcomes
from trainer.takes.recalled import judge_name
from trainer.takes.recording import frame_of
from trainer.takes.telling import Tell


def new_attempt(
    score: Score,
    lines: Sequence[int],
    *,
    settings: Settings,
    source: str,
    anchors: Sequence[Anchor] = (),
    beside: Beside = UNKNOWN,
) -> Attempt:
    """An attempt that begins now, with nothing heard yet."""
    return Attempt(
        secrets.token_hex(16),
        utc(),
        __version__,
        source,
        score,
        tuple(lines),
        settings,
        tuple(anchors),
        beside=beside,
    )


def utc(*, days_ago: float = 0) -> str:
    """ISO 8601 to the second, in UTC."""
    return (datetime.now(UTC) - timedelta(days=days_ago)).strftime("%Y-%m-%dT%H:%M:%SZ")


def summaries(performance: Performance) -> tuple[dict[str, Any], ...]:
    """What a list of takes shows of each line."""
    return tuple(_summary(take) for take in performance.takes)


class Keeper:
    """Keeps one take. With *places* None it keeps nothing beyond itself and everything passes through.

    Parameters
    ----------
    attempt : Attempt
    places : Places or None
    tell : callable
        Told of what went wrong, one message each.
    """

    def __init__(self, attempt: Attempt, places: Places | None, tell: Tell) -> None:
        self._attempt, self._places, self._tell = attempt, places, tell
        self._running: Running | None = None
        self._heard: list[Heard] = []
        if places is not None:
            try:
                self._running = Running(places.running, attempt)
            except LogError as err:
                tell(str(err))

    def keep(self, heard: Iterable[Heard]) -> Iterator[Heard]:
        """The same records, written down as they pass."""
        for record in heard:
            self._heard.append(record)
            if self._running is not None:
                self._running.write(record)
            yield record

    @property
    def attempt(self) -> Attempt:
        """The take with what has passed so far."""
        return replace(self._attempt, heard=tuple(self._heard))

    def end(
        self, performance: Performance, *, recordings: Sequence[str] = (), beside: Beside | None = None
    ) -> int | None:
        """Put the take into the database; its number there, None when it is not in it.

        *beside* is what was around the singer, where that is known only now.
        """
        if self._places is None:
            return None
        attempt = replace(self.attempt, beside=beside or self._attempt.beside)
        try:
            with open_store(self._places, self._tell) as store:
                number = _put(store, attempt, performance)
        except LogError as err:
            if self._running is not None and self._running.failure is not None:
                self._tell(str(self._running.failure))
            self._tell(f"{err}\n  {self._left_to_wait()}")
            return None
        if self._running is not None:
            self._running.drop()
        keep_sound(self._places, attempt.key, recordings, self._tell)
        return number

    def _left_to_wait(self) -> str:
        """The database did not take it: whether it waits beside it, whole or by its beginning, or is lost."""
        if self._running is None:
            return "this take is not kept"
        if self._running.wait():
            return "this take waits in a file of its own; the next start that can takes it in"
        written = self._running.written()
        seconds = round((frame_of(written[-1]) - frame_of(written[0])) / RATE_HZ) if written else 0
        if not seconds:
            self._running.drop()
            return "this take is not kept"
        self._running.close()
        return f"only the first {seconds} s of this take wait in a file of their own; the next start that can takes them in"

    def abandon(self) -> None:
        """Let go: stopped before the end. What was written down is taken in at the next start."""
        if self._running is not None:
            self._running.close()

    def drop(self) -> None:
        """Let go of a take that came to nothing, such as a recording that cannot be read to its end."""
        if self._running is not None:
            self._running.drop()


def open_store(places: Places, tell: Tell) -> Store:
    """The database, left-over takes taken in and the bin emptied of what is older than seven days.

    Raises
    ------
    LogError
        When there is no way to open it. A damaged one is put aside and a new one begun, and that is told.
    """
    try:
        store = _checked(places.takes)
    except DamagedDatabase as err:
        aside = places.takes.with_name(f"{places.takes.name}.damaged-{secrets.token_hex(4)}")
        with contextlib.suppress(OSError):
            os.replace(f"{places.takes}-journal", f"{aside}-journal")
        try:
            os.replace(places.takes, aside)
        except OSError:
            raise err from None
        tell(f"the database of takes is damaged and was put aside; a new one is begun\n  {aside}")
        store = Store(places.takes)
    try:
        _take_in(store, places, tell)
        for key in store.empty_bin(utc(days_ago=BIN_DAYS)):
            forget_sound(places, key)
    except BaseException:
        store.__exit__(None, None, None)
        raise
    return store


def keep_sound(places: Places, key: str, recordings: Sequence[str], tell: Tell) -> None:
    """Copy the recordings of a take beside the database."""
    for number, recording in enumerate(recordings, start=1):
        target = places.sound / f"{key}-{number}{Path(recording).suffix.lower()}"
        try:
            places.sound.mkdir(parents=True, exist_ok=True, mode=0o700)
            shutil.copyfile(recording, target)
        except OSError as err:
            with contextlib.suppress(OSError):
                target.unlink()
            tell(
                f"the recording is not kept: {(err.strerror or str(err)).lower()}\n  {places.sound}\n  make room there"
            )
            return


def forget_sound(places: Places, key: str) -> None:
    """Delete the recordings of a take."""
    for path in places.sound.glob(f"{key}-*") if places.sound.is_dir() else ():
        path.unlink(missing_ok=True)


def forget_unread(places: Places) -> int:
    """Delete what no list shows: recordings, unreadable takes and databases put aside; how many files went.

    A take under way belongs to its program and stays.
    """
    went = 0
    for folder, pattern in (
        (places.sound, "*"),
        (places.running, "*.unreadable"),
        (places.takes.parent, f"{places.takes.name}.damaged-*"),
    ):
        for path in sorted(folder.glob(pattern)) if folder.is_dir() else ():
            if path.is_file():
                path.unlink(missing_ok=True)
                went += 1
    return went


def _checked(path: Path) -> Store:
    store = Store(path)
    try:
        store.probe()  # a database broken behind its first page shows itself here
    except BaseException:
        store.__exit__(None, None, None)
        raise
    return store


def _take_in(store: Store, places: Places, tell: Tell) -> None:
    sweep(places.unkept)
    with left_over(places.running) as found:
        for one in found:
            if one.attempt is None:
                tell(f"a take that was stopped cannot be read and was put aside\n  {one.put_aside()}")
                continue
            number = _put(store, one.attempt, _judged(one.attempt, tell))
            one.drop()
            did = "waited" if one.attempt.whole else "was stopped"
            tell(f"a take that {did} is now take {number}: {one.attempt.score.title}")


def _judged(attempt: Attempt, tell: Tell) -> Performance | None:
    try:
        return judge_again(attempt, attempt.settings)
    except HeldlineError as err:
        tell(str(err))
        return None


def judge_again(attempt: Attempt, settings: Settings) -> Performance:
    """A stored attempt's verdicts under *settings*; under its own, the same bytes as when it was made."""
    return judge(
        attempt.score,
        attempt.lines,
        attempt.heard,
        settings=settings,
        anchors=attempt.anchors,
        sources=(attempt.source,) * len(attempt.lines),
    )


def count(store: Store, number: int, attempt: Attempt, performance: Performance) -> None:
    """Let the history count what an attempt came to, in place of what it counted before."""
    History(store).put(number, attempt.score, music(attempt.score), outcomes(attempt, performance))


def put_verdict(store: Store, number: int, settings: Settings, performance: Performance) -> None:
    """Keep what a stored attempt came to under *settings*, beside what it came to before."""
    store.put_verdict(number, version=__version__, settings=settings, summaries=summaries(performance))
    store.keep_judged(number, judge_name(), settings, performance)


def _put(store: Store, attempt: Attempt, performance: Performance | None) -> int:
    number = store.put(attempt)
    if performance is not None:
        put_verdict(store, number, attempt.settings, performance)
        count(store, number, attempt, performance)
    return number


def _summary(take: Take) -> dict[str, Any]:
    counts = take.result()
    return {
        "voice": take.voice,
        "status": take.status,
        "notes": counts["notes"],
        "judged": counts["judged"],
        "held": counts["held"],
        "worst": three_lines(take).worst,
    }
