"""The kept takes opened for counting: nothing is made where nothing is kept."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from trainer.errors import HeldlineError

if TYPE_CHECKING:
    from trainer.log.store import Store


@contextlib.contextmanager
def opened_history() -> Iterator[Store | None]:
    """The store, None where no take was ever kept. Raises LogError."""
    from trainer.cli._take import tell
    from trainer.places import places
    from trainer.takes.keeping import open_store

    here = places()
    if not here.takes.exists() and not here.running.exists():
        yield None
        return
    with open_store(here, tell) as store:
        yield store


def titles() -> frozenset[str]:
    """The library's titles in small letters; none where the installation has lost it."""
    from trainer.library import exercises

    with contextlib.suppress(HeldlineError):
        return frozenset(one.title.lower() for one in exercises())
    return frozenset()


def shipped_bars(sung: Iterable[str]) -> frozenset[str]:
    """The names, by their music, of all bars of the library's exercises among the titles *sung*."""
    from trainer.formats import read_path
    from trainer.library import exercises
    from trainer.score.sameness import bar_music

    wanted = {title.lower() for title in sung}
    found: set[str] = set()
    with contextlib.suppress(HeldlineError):  # of an installation that has lost its library nothing is known
        for one in exercises():
            if one.title.lower() in wanted:
                found.update(name for bar in bar_music(read_path(one.path)) for name in (bar.digest, bar.as_first))
    return frozenset(found)


def sung_without_rest() -> int:
    """Seconds sung since the last rest, from the kept takes; 0 where none are kept, or none can be read."""
    from trainer.log.history import History
    from trainer.plan.days import seconds_without_rest
    from trainer.takes.plans import now

    with contextlib.suppress(HeldlineError), opened_history() as store:
        return 0 if store is None else seconds_without_rest(History(store).lines(), now())
    return 0
