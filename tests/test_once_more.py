"""What is done with a test in real time that fails while the machine keeps processes waiting."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

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


@pytest.mark.parametrize(("late_s", "passed", "failed"), [(-1.0, 1, 1), (1e9, 0, 2)])
def test_it_is_run_once_more_only_where_a_process_was_kept_waiting_and_has_to_pass_then(
    late_s: float, passed: int, failed: int, tmp_path: Path
) -> None:
    support = Path(__file__).with_name("support")
    (tmp_path / "conftest.py").write_text(
        f"import sys\nsys.path[:0] = [{str(support)!r}]\nimport once_more\nonce_more.LATE_S = {late_s}\n"
        "from once_more import run as pytest_runtest_protocol\n"
    )
    (tmp_path / "test_it.py").write_text(FAILS_ONCE)
    words = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--junit-xml=told.xml"]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    told = (tmp_path / "told.xml").read_text()
    assert (f'failures="{failed}"' in told, f'tests="{passed + failed}"' in told) == (True, True), done.stdout
    assert ("run once more" in told) == (passed > 0)
