"""A test in real time that failed is run once more, and its line of the junit file says so, with what failed the first time.

What such a test measures is how sound arrives, and a busy machine, or the host of a virtual one, delays our servers, singers and loop-backs
as it does the program. A fault of ours fails twice, or comes so often that ``.ci/counts.py`` no longer takes it for the machine's;
``tests/campaign/run.py live`` runs nothing twice.
"""

from __future__ import annotations

import pytest
from _pytest.runner import runtestprotocol

RUN_ONCE_MORE = "run once more"
"""Name of the property in the junit file."""


def run(item: pytest.Item, nextitem: pytest.Item | None) -> bool:
    """What ``pytest_runtest_protocol`` is asked for."""
    item.ihook.pytest_runtest_logstart(nodeid=item.nodeid, location=item.location)
    reports = runtestprotocol(item, nextitem=nextitem, log=False)
    failed = next((report for report in reports if report.failed), None)
    if failed is not None:
        item._initrequest()  # type: ignore[attr-defined]  # as new: its fixtures are made again
        item.user_properties.append((RUN_ONCE_MORE, f"{failed.when}: {failed.longreprtext[-600:]}"))
        reports = runtestprotocol(item, nextitem=nextitem, log=False)
    for report in reports:
        item.ihook.pytest_runtest_logreport(report=report)
    item.ihook.pytest_runtest_logfinish(nodeid=item.nodeid, location=item.location)
    return True
