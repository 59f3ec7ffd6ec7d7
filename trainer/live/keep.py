"""A live take judged while it is heard and written down: ``judge`` and ``Keeper`` are those of recordings."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from trainer.errors import HeldlineError
from trainer.live.take import Laid, LiveTake
from trainer.places import Places
from trainer.practice.event import BeatOver
from trainer.practice.take import Performance
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.keeping import Keeper, Tell, new_attempt


class Discarded(Exception):
    """The take is not wanted: nothing of it is judged or kept."""


def run_take(
    take: LiveTake,
    where: Laid,
    score: Score,
    line_index: int,
    *,
    places: Places | None,
    tell: Tell,
    listen: Callable[[BeatOver], None],
) -> tuple[Performance, Callable[[], int | None]]:
    """Hear one take to its end and judge it.

    Parameters
    ----------
    take : LiveTake
    where : Laid
    score : Score
    line_index : int
    places : Places or None
        Where it is kept; None keeps nothing.
    tell : callable
        Told of what went wrong with keeping.
    listen : callable
        Told of each beat when it is over.

    Returns
    -------
    (Performance, callable)
        The verdicts, and what puts the take into the database and gives its number: to be called once they are shown.
    """
    anchors = (where.anchor,)
    attempt = new_attempt(score, (line_index,), settings=where.settings, source="sung", anchors=anchors)
    keeper = Keeper(attempt, places, tell)
    try:
        performance = judge(
            score,
            (line_index,),
            keeper.keep(take.records()),
            settings=where.settings,
            anchors=anchors,
            listen=listen,
        )
    except Discarded:
        keeper.drop()
        raise
    except BaseException:
        keeper.abandon()
        raise

    def end() -> int | None:
        if not take.hearing.keeping:
            return keeper.end(performance)
        with tempfile.TemporaryDirectory(prefix="heldline-") as folder:
            return keeper.end(performance, recordings=_written(take, where, folder, tell))

    return performance, end


def _written(take: LiveTake, where: Laid, folder: str, tell: Tell) -> list[str]:
    from audio.whole_file import write_pieces

    path = Path(folder) / "take.wav"
    try:
        write_pieces(path, take.hearing.kept(), where.axis.delay.rate_hz, channel_count=1, bits=24)
    except HeldlineError as err:
        tell(f"the recording is not kept\n  {err}")
        return []
    return [str(path)]
