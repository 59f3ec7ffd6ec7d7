"""The history: exercises known by their music, outcomes put once, everything gone with its take."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from kept_takes import EVERYBODY, NOBODY, judged, keep

from trainer.library import resolve
from trainer.log import migrations
from trainer.log.database import DamagedDatabase
from trainer.log.history import History
from trainer.log.outcome import Overruling
from trainer.log.store import Store
from trainer.practice.beside import Beside
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import Performance
from trainer.score.change import cut, transpose
from trainer.score.model import Line, Score
from trainer.score.pitch import Interval
from trainer.takes.keeping import count

WHEN = "2026-03-01T19:00:00Z"
TENOR = 2


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "takes.db") as opened:
        yield opened


def with_bars_moved(score: Score, bars: int) -> Score:
    """The first bars of every line a tone higher."""
    end = score.bars().quarters(bars + 1) if bars < len(score.bars().bars) else score.end_quarters
    lines = tuple(
        Line(
            line.name,
            tuple(
                replace(n, pitch=n.pitch.transposed(Interval(1, 2))) if n.onset_quarters < end else n
                for n in line.notes
            ),
        )
        for line in score.lines
    )
    return replace(score, lines=lines)


@pytest.mark.parametrize(
    ("change", "same"),
    [
        (lambda score: replace(score, title="Another", facts=()), True),
        (lambda score: with_bars_moved(score, 5), True),  # 6 of 11 bars kept
        (lambda score: with_bars_moved(score, 6), False),  # 5 of 11
        (lambda score: cut(score, 9, 11), True),
        (lambda score: cut(score, 9, 9), True),
        (lambda score: replace(cut(score, 9, 9), title="Another"), False),  # one bar alone may be anybody's
        (lambda score: transpose(score, Interval(1, 2)), False),
        (lambda score: replace(score, lines=score.lines[:3]), False),
    ],
)
def test_music_is_the_same_exercise_by_its_bars(store: Store, score: Score, change: object, same: bool) -> None:
    keep(store, score, TENOR, WHEN)
    other = change(score)  # type: ignore[operator]
    keep(store, other, TENOR, WHEN)
    first, second = History(store).lines()
    assert (first.exercise == second.exercise) is same
    assert (History(store).exercise_of(other) == first.exercise) is same


def test_half_of_the_bars_are_enough(store: Store, score: Score) -> None:
    ten = replace(cut(score, 1, 10), facts=())
    keep(store, ten, TENOR, WHEN)
    keep(store, with_bars_moved(ten, 5), TENOR, WHEN)
    assert [one.exercise for one in History(store).lines()] == [1, 1]


def test_the_whole_that_comes_after_its_excerpt_is_the_same_exercise(store: Store, score: Score) -> None:
    keep(store, cut(score, 1, 4), TENOR, WHEN)
    keep(store, score, TENOR, WHEN)
    assert [one.exercise for one in History(store).lines()] == [1, 1]
    assert [one.part for one in History(store).lines()] == ["excerpt", "whole"]


def test_what_a_take_came_to_is_kept_once_and_anew_when_it_is_judged_again(store: Store, score: Score) -> None:
    number = keep(store, score, TENOR, WHEN, {3: Sign.OFF})
    history = History(store)
    (one,) = history.lines()
    assert (one.mark, one.held, one.judged, one.company, one.seconds) == ("clean", 10, 11, "all", 44)
    assert [bar.outcome.cause for bar in history.bars(one.exercise, TENOR)] == ["", "", "", "off", *[""] * 7]
    count(store, number, store.get(number), Performance((judged(score, TENOR, dict.fromkeys(range(6), Sign.OFF)),)))
    (again,) = history.lines()
    assert (again.mark, again.held) == ("poor", 5)
    assert len(history.bars(again.exercise, TENOR)) == 11


@pytest.mark.parametrize(
    ("beside", "settings", "company"),
    [
        (EVERYBODY, Settings(), "all"),
        (Beside(sounding=(0, 1, 3)), Settings(), "all"),
        (Beside(sounding=(3,)), Settings(), "some"),
        (NOBODY, Settings(), "alone"),
        (Beside(), Settings(), "unknown"),
        (Beside(), Settings(alone=True), "alone"),
    ],
)
def test_the_company_of_a_take_is_kept_with_it(
    store: Store, score: Score, beside: Beside, settings: Settings, company: str
) -> None:
    number = keep(store, score, TENOR, WHEN, beside=beside, settings=settings)
    assert store.get(number).beside == beside
    assert History(store).lines()[0].company == company


def test_spots_are_named_as_the_composer_names_them_and_counted(store: Store, score: Score) -> None:
    # F# A B C# B F# G# A G# F# D#: two thirds up and down, a fourth down, seconds
    keep(store, score, TENOR, WHEN, {5: Sign.PULLED})
    spots = {one.spot: (one.tried, one.failed) for one in History(store).spots()}
    assert spots["fourths down"] == (1, 1)
    assert spots["thirds up"] == (1, 0)
    assert spots["thirds down"] == (1, 0)
    assert spots["seconds up"] == (4, 0)
    assert spots["seconds down"] == (3, 0)
    assert spots["degree 5"] == (3, 1)  # F# in B dorian


def test_everything_of_a_take_goes_with_it_and_leaves_no_trace(tmp_path: Path, score: Score) -> None:
    path = tmp_path / "takes.db"
    with Store(path) as store:
        number = keep(store, replace(score, title="Marmalade Lane"), TENOR, WHEN, {2: Sign.OFF})
        History(store).overrule(number, Overruling(0, 3, "1", "held", "it was agreed on Tuesday", WHEN))
        store.purge()
    raw = sqlite3.connect(path)
    for table in ("outcomes", "bar_outcomes", "tried", "versions", "version_bars", "overrulings", "judged_before"):
        assert raw.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,)  # noqa: S608
    raw.close()
    content = path.read_bytes()
    assert b"Marmalade" not in content
    assert b"agreed on Tuesday" not in content


def test_takes_of_an_earlier_version_are_left_as_they_are_and_told_as_uncounted(tmp_path: Path, score: Score) -> None:
    path = tmp_path / "takes.db"
    with Store(path) as store:
        keep(store, score, TENOR, WHEN)
    raw = sqlite3.connect(path)  # what the first version left: no history at all
    for name in ("bar_outcomes", "tried", "outcomes", "version_bars", "versions", "judged_before", "overrulings",
                 "rehearsals", "bar_notes", "copies"):  # fmt: skip
        raw.execute(f"DROP TABLE {name}")
    raw.execute("ALTER TABLE attempts DROP COLUMN beside")
    raw.execute("DELETE FROM steps WHERE number >= 2")
    raw.execute("PRAGMA user_version = 1")
    raw.commit()
    raw.close()
    with Store(path) as store:
        assert migrations.version_of(store._connection) == migrations.newest()
        assert store.get(1).beside == Beside()
        assert History(store).uncounted() == 1
        count(store, 1, store.get(1), Performance((judged(score, TENOR),)))
        assert History(store).uncounted() == 0
        assert History(store).lines()[0].company == "unknown"


def test_overrulings_stay_in_their_order(store: Store, score: Score) -> None:
    number = keep(store, score, TENOR, WHEN)
    history = History(store)
    first = Overruling(0, 3, "1", "held", "the door slammed", WHEN)
    second = Overruling(0, 3, "1", "flat", "listened again", WHEN)
    history.overrule(number, first)
    history.overrule(number, second)
    assert history.overrulings(number) == [first, second]
    assert history.overrulings(number + 1) == []


def test_a_page_broken_under_the_history_shows_itself_at_the_start(tmp_path: Path, score: Score) -> None:
    path = tmp_path / "takes.db"
    with Store(path) as store:
        keep(store, score, TENOR, WHEN)
        pages = dict(
            store._connection.execute("SELECT name, rootpage FROM sqlite_master WHERE rootpage > 0").fetchall()
        )
        size = store._connection.execute("PRAGMA page_size").fetchone()[0]
    content = bytearray(path.read_bytes())
    start = (pages["outcomes"] - 1) * size
    content[start : start + size] = b"\x5a" * size
    path.write_bytes(bytes(content))
    with Store(path) as store, pytest.raises(DamagedDatabase):
        store.probe()
