"""The tracker's tests hear what a singer hears: the compiled steps. ``test_two_bodies`` holds the plain ones to them, bit by bit."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from quick_steps import quick_steps

from audio import compiled


@pytest.fixture(scope="package", autouse=True)
def compiled_steps() -> Iterator[None]:
    """As long as this folder's tests run."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv(compiled.VARIABLE)
        assert quick_steps()
    yield
    compiled.plain()
