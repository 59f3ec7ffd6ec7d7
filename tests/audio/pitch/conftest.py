"""The tracker's tests hear what a singer hears: the compiled steps. ``test_two_bodies`` holds the plain ones to them, bit by bit."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from quick_steps import on_quick_steps


@pytest.fixture(scope="module", autouse=True)
def compiled_steps() -> Iterator[None]:
    """For each file by itself: one of another folder may run in between and leave the plain ones. It costs nothing the second time."""
    with on_quick_steps() as done:
        assert done
        yield
