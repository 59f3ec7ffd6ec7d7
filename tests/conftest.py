"""A run of everything takes two workers: the tests on real servers, which mostly wait, in one, all others beside them in the other."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
REAL_SERVERS = ("audio/devices", "live")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Two for everything, none where something is named: that is not worth their start."""
    return 2 if config.args == config.getini("testpaths") else 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Real servers one after the other, each with its own beat to keep."""
    for item in items:
        if item.path.relative_to(HERE).as_posix().startswith(REAL_SERVERS):
            item.add_marker(pytest.mark.xdist_group("real servers"))
