"""A run of everything takes three workers: the tests on real servers, which mostly wait, in two, all others beside them in the third."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from xdist.remote import Producer
    from xdist.scheduler import LoadScopeScheduling

# no test but those of audio.compiled has anything compiled, least of all beside a test that listens in real time
os.environ["HELDLINE_COMPILED"] = "no"


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Three for everything, none where something is named: that is not worth their start."""
    return 3 if config.args == config.getini("testpaths") else 0


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> LoadScopeScheduling:
    """By where a test stands: pytest-xdist 3.8 does not see its own groups under pytest 9.2."""
    from side_by_side import SideBySide

    return SideBySide(config, log)
