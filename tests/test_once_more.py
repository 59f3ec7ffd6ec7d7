"""What is done with a test in real time that fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from once_more import RUN_ONCE_MORE

FAILS_ONCE = """
from pathlib import Path
import pytest

@pytest.fixture
def fresh():
    return []

def test_what_fails_the_first_time(fresh):
    fresh.append(1)
    assert len(fresh) == 1
    marker = Path(__file__).with_name("again")
    if not marker.exists():
        marker.touch()
        raise AssertionError("the first time")

def test_what_always_fails():
    raise AssertionError("each time")
"""


def test_it_is_run_once_more_as_new_has_to_pass_then_and_what_failed_first_is_told(tmp_path: Path) -> None:
    support = Path(__file__).with_name("support")
    (tmp_path / "conftest.py").write_text(
        f"import sys\nsys.path[:0] = [{str(support)!r}]\nfrom once_more import run as pytest_runtest_protocol\n"
    )
    (tmp_path / "test_it.py").write_text(FAILS_ONCE)
    words = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--junit-xml=told.xml"]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    told = (tmp_path / "told.xml").read_text()
    assert ('failures="1"' in told, 'tests="2"' in told) == (True, True), done.stdout
    assert told.count(f'name="{RUN_ONCE_MORE}"') == 2
    assert "the first time" in told
