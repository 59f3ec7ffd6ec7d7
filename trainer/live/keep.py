"""A live take judged while it is heard and written down: ``judge`` and ``Keeper`` are those of recordings."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from trainer.errors import HeldlineError
from trainer.live.keytake import KeyTake
from trainer.live.take import Laid, LiveTake
from trainer.log.attempt import Attempt
from trainer.places import Places
from trainer.practice.beside import UNKNOWN, Beside
from trainer.practice.event import BeatOver
from trainer.practice.take import Performance
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.keeping import Keeper, new_attempt
from trainer.takes.telling import Tell


class Discarded(Exception):
    """The take is not wanted: nothing of it is judged or kept."""


def run_take(
    take: LiveTake | KeyTake,
    where: Laid,
    score: Score,
    lines: Sequence[int],
    *,
    places: Places | None,
    tell: Tell,
    listen: Callable[[BeatOver], None],
    beside: Callable[[], Beside],
    remember: Callable[[Attempt], None] = lambda _: None,
) -> tuple[Performance, Callable[[], int | None]]:
    """Hear one take to its end and judge it.

    Parameters
    ----------
    take : LiveTake or KeyTake
    where : Laid
    score : Score
    lines : sequence of int
        Which lines are heard; ``Heard.line`` counts in this order.
    places : Places or None
        Where it is kept; None keeps nothing.
    tell : callable
        Told of what went wrong with keeping.
    listen : callable
        Told of each beat when it is over.
    beside : callable
        Gives what is around the singer; where that changed on the way, nobody can say what a take was sung against.
    remember : callable
        Given what was heard, once it is judged, to be listened to.

    Returns
    -------
    (Performance, callable)
        The verdicts, and what puts the take into the database and gives its number: to be called once they are shown.
    """
    anchors, begun_beside = (where.anchor,), beside()
    attempt = new_attempt(
        score, tuple(lines), settings=where.settings, source=take.source, anchors=anchors, beside=begun_beside
    )
    keeper = Keeper(attempt, places, tell)
    try:
        performance = judge(
            score,
            tuple(lines),
            keeper.keep(take.records()),
            settings=where.settings,
            anchors=anchors,
            sources=(take.source,) * len(lines),
            listen=listen,
        )
    except Discarded:
        keeper.drop()
        raise
    except BaseException:
        keeper.abandon()
        raise

    remember(keeper.attempt)
    still = beside() == begun_beside

    def end() -> int | None:
        with tempfile.TemporaryDirectory(prefix="heldline-") as folder:
            try:
                recordings = take.recordings(Path(folder))
            except HeldlineError as err:
                tell(f"the recording is not kept\n  {err}")
                recordings = []
            if begun_beside.rehearsal and take.cut_off and performance.nobody_heard and not recordings:
                keeper.drop()  # the device was gone before the desk had sung: it is not to stand there as not heard
                return None
            return keeper.end(performance, recordings=recordings, beside=begun_beside if still else UNKNOWN)

    return performance, end
