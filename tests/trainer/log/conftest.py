"""Attempts for the store."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from handmade_takes import heard_everything, small_score

from trainer.log.attempt import Attempt
from trainer.practice.settings import Settings

MakeAttempt = Callable[..., Attempt]


@pytest.fixture
def attempt() -> MakeAttempt:
    """Make attempts that differ in their key, and in what is asked for."""

    def make(number: int = 1, **more: object) -> Attempt:
        usual: dict[str, object] = {
            "key": f"{number:032x}",
            "started_utc": f"2025-03-{number:02d}T19:05:00Z",
            "version": "0.1.0",
            "source": "sung",
            "score": small_score(),
            "lines": (0, 1),
            "settings": Settings(),
            "heard": tuple(heard_everything()),
        }
        return Attempt(**(usual | more))  # type: ignore[arg-type]

    return make
