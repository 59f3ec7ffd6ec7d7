"""A run of everything takes three workers: the tests on real servers, which mostly wait, in two, all others beside them in the third."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
REAL_SERVERS = ("audio/devices", "live")
AT_THE_TERMINAL = ("live/test_terminal", "live/test_first_minute", "live/test_bad_input")
"""About half of the time that the tests on real servers take."""


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Three for everything, none where something is named: that is not worth their start."""
    return 3 if config.args == config.getini("testpaths") else 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Real servers one after the other in their worker, each with its own beat to keep."""
    for item in items:
        place = item.path.relative_to(HERE).as_posix()
        if place.startswith(AT_THE_TERMINAL):
            item.add_marker(pytest.mark.xdist_group("at the terminal"))
        elif place.startswith(REAL_SERVERS):
            item.add_marker(pytest.mark.xdist_group("real servers"))
