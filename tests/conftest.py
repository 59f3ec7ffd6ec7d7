"""A run of everything takes three workers: the tests on real servers, which mostly wait, in two, all others beside them in the third.

There whole takes are judged on the compiled steps, in half the time. Where a test is named only the tracker's own have them, which hold
both bodies of a step to the same bits.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from xdist.remote import Producer
    from xdist.scheduler import LoadScopeScheduling

# no program that a test starts compiles anything, least of all beside a test that listens in real time
os.environ["HELDLINE_COMPILED"] = "no"
# three workers on two cores: the second thread of a product of matrices only waits in the way of another test
for library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Three for everything, none where something is named: that is not worth their start."""
    return 3 if config.args == config.getini("testpaths") else 0


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> LoadScopeScheduling:
    """By where a test stands: pytest-xdist 3.8 does not see its own groups under pytest 9.2."""
    from side_by_side import SideBySide

    return SideBySide(config, log)


IN_REAL_TIME = ("tests/live/", "tests/audio/devices/")


def pytest_runtest_protocol(item: pytest.Item, nextitem: pytest.Item | None) -> bool | None:
    """Those on real servers are run once more where they fail."""
    if not item.nodeid.startswith(IN_REAL_TIME):
        return None
    from once_more import run

    return run(item, nextitem)


ON_COMPILED_STEPS = ("tests/trainer/", "tests/end_to_end/")


def pytest_xdist_setupnodes(config: pytest.Config) -> None:
    """Compiled once, before there are workers that would all do it, where there are tests that want it."""
    if not any((config.rootpath / folder).is_dir() for folder in ON_COMPILED_STEPS):
        return
    from quick_steps import on_quick_steps

    with on_quick_steps():
        pass


@pytest.fixture(scope="module", autouse=True)
def bodies(request: pytest.FixtureRequest) -> Iterator[None]:
    """The steps' bodies for one file of tests."""
    if hasattr(request.config, "workerinput") and request.node.nodeid.startswith(ON_COMPILED_STEPS):
        from quick_steps import on_quick_steps

        with on_quick_steps():
            yield
    else:
        yield
