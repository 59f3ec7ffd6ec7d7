"""What a day brings: rest before anything, weak bars of the last day first, then what is due, one new line at most."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from trainer.log.history import LineTaken
from trainer.log.outcome import BarOutcome
from trainer.plan.days import Now, dated_ahead, days_of, seconds_today, seconds_without_rest
from trainer.plan.today import DUE, ENOUGH, NEW, NEXT_VOICE, REST, WEAK, LineBars, plan, practised_last, weak_bars

NOON = datetime(2026, 3, 10, 12, 0, tzinfo=UTC)
NOW = Now(NOON, UTC)
PARTS = {1: ("soprano", "alto", "tenor", "bass")}


def taken(number: int, ago: timedelta, mark: str = "clean", **more: object) -> LineTaken:
    usual: dict[str, object] = {
        "number": number, "exercise": 1, "line": 2, "voice": "tenor", "source": "sung",
        "started_utc": (NOON - ago).strftime("%Y-%m-%dT%H:%M:%SZ"), "mark": mark, "company": "all", "guide": "off",
        "part": "whole", "seconds": 40, "notes": 11, "judged": 11, "held": 11, "pulled": 0, "lowest_midi": 50,
        "highest_midi": 60, "drift_cents": None,
    }  # fmt: skip
    return LineTaken(**(usual | more))  # type: ignore[arg-type]


def bars(*failed: tuple[int, str]) -> tuple[BarOutcome, ...]:
    """Eleven bars of one note, these failed."""
    causes = dict(failed)
    return tuple(BarOutcome(bar, 1, int(bar not in causes), causes.get(bar, "")) for bar in range(1, 12))


DAY = timedelta(days=1)


def kinds(rows: list[LineTaken], weak: dict[tuple[int, int], LineBars] | None = None) -> list[str]:
    return [step.kind for step in plan(rows, days_of(rows, NOW), weak or {}, PARTS, NOW)]


def test_who_never_sang_is_given_something_new() -> None:
    assert kinds([]) == [NEW]


def test_weak_bars_of_yesterday_come_first_with_the_bar_before_them() -> None:
    rows = [taken(1, DAY, "between")]
    weak = {(1, 2): LineBars(((date(2026, 3, 9), bars((9, "pulled"), (4, "flat"), (1, "off"))),))}
    steps = plan(rows, days_of(rows, NOW), weak, PARTS, NOW)
    assert [(step.kind, step.bars) for step in steps] == [(WEAK, (8, 9)), (WEAK, (1, 1)), (DUE, None)]


def test_weak_bars_weigh_by_what_went_wrong_and_fade_by_the_week() -> None:
    today = date(2026, 3, 10)
    old, fresh = (today - timedelta(days=21), bars((9, "pulled"))), (today, bars((4, "flat")))
    assert weak_bars(LineBars((old, fresh)), today) == [4, 9]
    assert weak_bars(LineBars(((today, bars((9, "pulled"))), fresh)), today) == [9, 4]
    assert weak_bars(LineBars((fresh,)), today) == [4]
    assert weak_bars(LineBars(((today, bars()),)), today) == []


def test_bars_that_failed_long_ago_are_forgotten_after_three_takes() -> None:
    today = date(2026, 3, 10)
    clean = (today, bars())
    assert weak_bars(LineBars(((today, bars((9, "off"))), clean, clean, clean)), today) == []


def test_what_is_learnt_and_not_due_leaves_room_for_the_next_voice() -> None:
    rows = [taken(1, 2 * DAY), taken(2, DAY)]
    steps = plan(rows, days_of(rows, NOW), {}, PARTS, NOW)
    assert [(step.kind, step.voice) for step in steps] == [(NEXT_VOICE, "soprano")]


def test_one_new_line_a_day() -> None:
    assert kinds([taken(1, timedelta(hours=3))]) == []


def test_nothing_new_while_a_line_is_being_learnt() -> None:
    assert NEXT_VOICE not in kinds([taken(1, DAY, "poor")])
    assert NEW not in kinds([taken(1, DAY, "poor")])


def test_when_all_voices_are_tried_something_new_is_next() -> None:
    rows = [taken(k + 1, 2 * DAY, line=k) for k in range(4)] + [taken(k + 5, DAY, line=k) for k in range(4)]
    assert kinds(rows) == [NEW]


def test_twenty_minutes_without_a_rest_ask_for_one_and_a_rest_of_five_starts_anew() -> None:
    minute = timedelta(minutes=1)
    rows = [taken(k, (26 - k) * minute, seconds=55) for k in range(1, 26)]  # one a minute, the last a minute ago
    assert seconds_without_rest(rows, NOW) == 25 * 55
    assert kinds(rows)[0] == REST
    assert seconds_without_rest(rows, Now(NOON + 6 * minute, UTC)) == 0
    assert kinds([replace(one, source="keyed") for one in rows])[:1] != [REST]  # fingers need no such rest


def test_three_quarters_of_an_hour_are_enough_for_a_day() -> None:
    hour = timedelta(hours=1)
    rows = [taken(k, k * hour, seconds=950) for k in (3, 2, 1)]
    assert seconds_today(rows, NOW) == 2850
    steps = plan(rows, days_of(rows, NOW), {}, PARTS, NOW)
    assert (steps[0].kind, steps[0].minutes) == (ENOUGH, 47)


def test_days_are_those_of_the_place_and_not_of_greenwich() -> None:
    rows = [taken(1, timedelta(hours=13))]  # 23:00 the day before in UTC
    assert days_of(rows, NOW) == [date(2026, 3, 9)]
    assert days_of(rows, Now(NOON, timezone(timedelta(hours=2)))) == [date(2026, 3, 10)]


def test_takes_of_a_clock_that_was_set_back_count_as_todays_and_are_told() -> None:
    rows = [taken(1, -400 * DAY), taken(2, timedelta(hours=1))]
    assert days_of(rows, NOW) == [NOW.day, NOW.day]
    assert dated_ahead(rows, NOW) == 1
    assert kinds(rows) == []
    assert seconds_without_rest(rows, NOW) == 0


@pytest.mark.parametrize(("ago", "expected"), [(1, [1]), (3, [])])
def test_only_lines_of_the_last_day_of_practice_that_are_due_are_asked_for_weak_bars(
    ago: int, expected: list[int]
) -> None:
    from trainer.plan.returns import standings

    rows = [taken(1, 3 * DAY, "between", exercise=7), taken(2, ago * DAY, "clean", exercise=1)]
    rows = rows if ago == 1 else [taken(1, DAY, "clean", exercise=7), taken(2, 2 * DAY, "clean", exercise=1)][::-1]
    found = practised_last(standings(rows, days_of(rows, NOW)), NOW.day)
    assert [one.exercise for one in found] == (expected if ago == 1 else [7])
