"""Lines come back after 1, 2, 4, 8, 16 and 32 days; what failed comes back tomorrow."""

from __future__ import annotations

from datetime import date, timedelta

from trainer.log.history import LineTaken
from trainer.plan.returns import AFTER_DAYS, standings

START = date(2026, 3, 2)


def taken(number: int, mark: str = "clean", **more: object) -> LineTaken:
    usual: dict[str, object] = {
        "number": number, "exercise": 1, "line": 2, "voice": "tenor", "source": "sung", "started_utc": "", "mark": mark,
        "company": "all", "guide": "off", "part": "whole", "seconds": 40, "notes": 11, "judged": 11, "held": 11, "pulled": 0,
        "lowest_midi": 50, "highest_midi": 60, "drift_cents": None,
    }  # fmt: skip
    return LineTaken(**(usual | more))  # type: ignore[arg-type]


def after(*rows: tuple[int, LineTaken]) -> tuple[int | None, int]:
    """Step, and days from the start to the due day, of one line sung on these days."""
    (one,) = standings([row for _, row in rows], [START + timedelta(days=day) for day, _ in rows])
    return one.step, (one.due - START).days


def test_a_line_sung_when_it_is_due_comes_back_after_twice_as_long() -> None:
    day, rows = 0, []
    for number, gap in enumerate((*AFTER_DAYS, 32), start=1):
        rows.append((day, taken(number)))
        assert after(*rows)[1] == day + gap
        day += gap
    assert after(*rows)[0] == len(AFTER_DAYS) - 1


def test_singing_it_earlier_gains_nothing_and_loses_nothing() -> None:
    assert after((0, taken(1)), (1, taken(2)), (2, taken(3))) == (1, 3)


def test_a_failed_review_comes_back_tomorrow() -> None:
    assert after((0, taken(1)), (1, taken(2)), (3, taken(3, "between"))) == (0, 4)


def test_one_clean_take_of_a_day_is_enough_whatever_came_before_it() -> None:
    assert after((0, taken(1)), (1, taken(2, "poor")), (1, taken(3))) == (1, 3)


def test_a_line_is_learnt_only_whole_in_company_and_without_the_guide() -> None:
    for more in ({"part": "excerpt"}, {"company": "alone"}, {"company": "some"}, {"guide": "full"}):
        assert after((0, taken(1, "clean", **more))) == (None, 1)


def test_practice_of_some_bars_or_alone_never_undoes_what_was_learnt() -> None:
    assert after((0, taken(1)), (1, taken(2, "poor", part="excerpt")), (1, taken(3, "poor", company="alone"))) == (0, 1)


def test_a_take_in_which_nothing_was_heard_is_no_review() -> None:
    assert after((0, taken(1)), (1, taken(2, "nothing"))) == (0, 1)


def test_lines_are_counted_apart() -> None:
    rows = [taken(1), taken(2, line=1, voice="alto"), taken(3, exercise=2)]
    found = standings(rows, [START] * 3)
    assert [(one.exercise, one.line, one.voice) for one in found] == [(1, 1, "alto"), (1, 2, "tenor"), (2, 2, "tenor")]
