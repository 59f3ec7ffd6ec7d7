"""The counters that everything else is trusted by: bounds of shares, and CI's count of tests and skips."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest
from once_more import RUN_ONCE_MORE
from tallies import at_least, at_most

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize(
    ("found", "count", "upper"),
    [(0, 100, 0.0295), (0, 50, 0.0582), (1, 20, 0.2161), (5, 5, 1.0)],
)
def test_upper_bounds_are_clopper_and_pearsons(found: int, count: int, upper: float) -> None:
    # with none found the exact bound is 1 - 0.05 ** (1 / n), whence the rule of three; 1 of 20 as in printed tables (0.2161)
    assert at_most(found, count) == pytest.approx(upper, abs=1e-4)
    if found == 0:
        assert at_most(0, count) == pytest.approx(1 - 0.05 ** (1 / count))


def test_lower_bounds_mirror_the_upper_ones() -> None:
    assert at_least(100, 100) == pytest.approx(0.05 ** (1 / 100))
    assert at_least(0, 10) == 0.0
    assert at_least(19, 20) == pytest.approx(1 - at_most(1, 20))


JUNIT = """<testsuites><testsuite>
<testcase classname="tests.a.test_x" name="test_good"/>
<testcase classname="tests.a.test_x" name="test_bad"><failure message="no">no</failure></testcase>
<testcase classname="tests.a.test_x" name="test_broken"><error message="no">no</error></testcase>
<testcase classname="tests.a.test_x" name="test_away"><skipped message="no network today">here</skipped></testcase>
<testcase classname="tests.b.test_y" name="test_lazy"><skipped message="later">here</skipped></testcase>
</testsuite></testsuites>"""


@pytest.fixture
def counts() -> dict[str, Any]:
    return runpy.run_path(str(ROOT / ".ci" / "counts.py"))


def test_a_skip_that_is_not_allowed_counts_as_failed(
    counts: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "tests.xml").write_text(JUNIT, encoding="utf-8")
    (tmp_path / "allowed.txt").write_text("# what may be away\ntests/a/test_x.py | no network\n", encoding="utf-8")
    told = counts["main"](tmp_path / "tests.xml", counts["allowed"](tmp_path / "allowed.txt"))
    assert told == "1 3 1"
    assert "test_lazy" in capsys.readouterr().err


def test_a_skip_is_allowed_only_for_the_reason_that_is_listed(counts: dict[str, Any], tmp_path: Path) -> None:
    (tmp_path / "tests.xml").write_text(JUNIT, encoding="utf-8")
    assert counts["main"](tmp_path / "tests.xml", [("tests/a/test_x.py", "another reason")]) == "1 4 0"


@pytest.mark.parametrize(("how_many", "told"), [(3, "3 0 0"), (5, "3 2 0")])
def test_what_passed_only_when_run_once_more_is_named_and_is_a_failure_where_it_comes_often(
    counts: dict[str, Any], how_many: int, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    properties = f'<properties><property name="{RUN_ONCE_MORE}" value="call: 11 ms"/></properties>'
    cases = [
        f'<testcase classname="tests.live.test_x" name="test_{k}">{properties}</testcase>' for k in range(how_many)
    ]
    (tmp_path / "tests.xml").write_text(f"<testsuites><testsuite>{''.join(cases)}</testsuite></testsuites>")
    assert counts["main"](tmp_path / "tests.xml", []) == told
    assert capsys.readouterr().err.count("11 ms") == how_many


def test_every_allowed_skip_gives_a_reason(counts: dict[str, Any]) -> None:
    rules = counts["allowed"](ROOT / ".ci" / "allowed-skips.txt")
    assert rules
    assert all(start and len(reason) > 5 for start, reason in rules)
