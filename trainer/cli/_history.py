"""The kept takes opened for counting: nothing is made where nothing is kept."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
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
