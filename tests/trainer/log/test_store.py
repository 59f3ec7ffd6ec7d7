"""The database of attempts."""

from __future__ import annotations

import random
import sqlite3
import stat
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from full_disk import by_hand, nearly_full

from audio.heard import Heard, PitchFrame
from trainer.errors import LogError
from trainer.log import migrations
from trainer.log.attempt import Attempt
from trainer.log.database import DamagedDatabase, NewerDatabase
from trainer.log.store import Store
from trainer.practice.settings import Settings

MakeAttempt = Callable[..., Attempt]
SUMMARY = ({"voice": "soprano", "status": "heard", "notes": 4, "judged": 4, "held": 3, "worst": "bar 2"},)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home" / "takes.db"


def test_an_attempt_comes_back_exactly(path: Path, attempt: MakeAttempt) -> None:
    kept = attempt(1)
    with Store(path) as store:
        number = store.put(kept)
    with Store(path) as store:
        assert store.get(number) == kept
        assert store.last() == number


def test_an_attempt_is_kept_once_however_often_it_is_put(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        assert store.put(attempt(1)) == store.put(attempt(1))
        assert len(store.entries()) == 1


def test_numbers_go_up_and_are_never_used_twice(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        first, second = store.put(attempt(1)), store.put(attempt(2))
        assert second == first + 1
        store.purge()
        assert store.put(attempt(3)) > second


def test_a_score_is_stored_once_for_all_its_takes(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        store.put(attempt(1))
        store.put(attempt(2))
    with sqlite3.connect(path) as raw:
        assert raw.execute("SELECT count(*) FROM scores").fetchone() == (1,)
    raw.close()


def test_a_list_shows_the_latest_verdict_and_both_stay(path: Path, attempt: MakeAttempt) -> None:
    other = ({**SUMMARY[0], "held": 4},)
    with Store(path) as store:
        number = store.put(attempt(1))
        store.put_verdict(number, version="0.1.0", settings=Settings(), summaries=SUMMARY)
        store.put_verdict(number, version="0.1.0", settings=Settings(octave="free"), summaries=other)
        assert store.entries()[0].summaries == other
        assert [(told.octave, summaries) for _, told, summaries in store.verdicts(number)] == [
            ("steady", SUMMARY),
            ("free", other),
        ]
        store.put_verdict(number, version="0.1.0", settings=Settings(octave="free"), summaries=other)
        assert len(store.verdicts(number)) == 2


def test_a_removed_take_is_hidden_until_it_is_brought_back(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        first, second = store.put(attempt(1)), store.put(attempt(2))
        store.remove(second, "2025-03-05T00:00:00Z")
        assert store.last() == first
        with pytest.raises(LogError, match=f"no take {second}"):
            store.get(second)
        assert store.bring_back() == second
        assert store.bring_back() is None
        assert store.get(second) == attempt(2)


def test_the_bin_is_emptied_of_what_is_older_only(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        old, new = store.put(attempt(1)), store.put(attempt(2))
        store.remove(old, "2025-03-01T00:00:00Z")
        store.remove(new, "2025-03-07T00:00:00Z")
        assert store.empty_bin("2025-03-05T00:00:00Z") == [attempt(1).key]
        assert store.bring_back() == new
        assert store.bring_back() is None


def test_a_purge_leaves_nothing_on_the_disk(path: Path, attempt: MakeAttempt) -> None:
    score = attempt(1).score
    with Store(path) as store:
        for number in range(1, 6):
            store.put(attempt(number))
        assert b"19:05:00Z" in path.read_bytes()
        assert len(store.purge()) == 5
        assert store.entries() == []
    content = path.read_bytes()
    for trace in (b"19:05:00Z", attempt(1).key.encode(), score.title.encode(), b"\xfd7zXZ"):
        assert trace not in content
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_what_leaves_the_bin_is_overwritten_at_once(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        store.remove(store.put(attempt(1)), "2025-03-01T00:00:00Z")
        store.put(attempt(2))
        store.empty_bin("2025-03-05T00:00:00Z")
    content = path.read_bytes()
    assert attempt(2).key.encode() in content
    assert attempt(1).key.encode() not in content
    assert attempt(1).started_utc.encode() not in content


def test_a_purge_of_what_is_older_keeps_the_rest(path: Path, attempt: MakeAttempt) -> None:
    with Store(path) as store:
        store.put(attempt(1))
        kept = store.put(attempt(20))
        assert store.purge("2025-03-10T00:00:00Z") == [attempt(1).key]
        assert store.get(kept) == attempt(20)


def test_the_file_is_readable_by_its_owner_alone(path: Path) -> None:
    Store(path).__exit__(None, None, None)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "content", [b"not a database at all, only words" * 100, b"SQLite format 3\x00" + b"\x07" * 5000]
)
def test_a_damaged_file_is_told_and_not_changed(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    with pytest.raises(DamagedDatabase, match="damaged"):
        Store(path)
    assert path.read_bytes() == content


def test_a_newer_database_is_told_and_not_changed(path: Path) -> None:
    Store(path).__exit__(None, None, None)
    raw = sqlite3.connect(path)
    raw.execute(f"PRAGMA user_version = {migrations.newest() + 1}")
    raw.close()
    before = path.read_bytes()
    with pytest.raises(NewerDatabase, match="newer heldline"):
        Store(path)
    assert path.read_bytes() == before


def test_every_step_is_recorded_with_its_name(path: Path) -> None:
    Store(path).__exit__(None, None, None)
    raw = sqlite3.connect(path)
    assert raw.execute("SELECT number, name FROM steps").fetchall() == [
        (number, name) for number, (name, _) in enumerate(migrations.STEPS, start=1)
    ]
    assert migrations.version_of(raw) == migrations.newest()
    raw.close()


def test_a_step_that_fails_leaves_no_half_of_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def half(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE half (a)")
        raise sqlite3.OperationalError("disk I/O error")

    raw = sqlite3.connect(tmp_path / "x.db", isolation_level=None)
    migrations.migrate(raw)
    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, ("half", half)))
    with pytest.raises(sqlite3.OperationalError):
        migrations.migrate(raw)
    assert migrations.version_of(raw) == migrations.newest() - 1
    assert raw.execute("SELECT count(*) FROM sqlite_master WHERE name = 'half'").fetchone() == (0,)
    raw.close()


def test_two_writers_at_once_both_keep_their_takes(path: Path, attempt: MakeAttempt) -> None:
    failures: list[BaseException] = []

    def write(first: int) -> None:
        try:
            for number in range(first, first + 10):
                with Store(path) as store:
                    store.put(attempt(number))
        except BaseException as err:
            failures.append(err)

    threads = [threading.Thread(target=write, args=(first,)) for first in (1, 11)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    with Store(path) as store:
        assert len({entry.key for entry in store.entries()}) == 20


def test_a_held_database_is_told_after_its_patience(
    path: Path, attempt: MakeAttempt, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.log.database.BUSY_MS", 20)
    with Store(path) as store:
        raw = sqlite3.connect(path, isolation_level=None)
        raw.execute("BEGIN EXCLUSIVE")
        with pytest.raises(LogError, match="another program"):
            store.put(attempt(1))
        raw.execute("ROLLBACK")
        raw.close()
        assert store.put(attempt(1)) == 1


def test_a_folder_in_the_way_is_told(path: Path) -> None:
    path.mkdir(parents=True)
    with pytest.raises(LogError):
        Store(path)


def test_a_home_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("x")
    with pytest.raises(LogError, match="kept here"):
        Store(tmp_path / "home" / "takes.db")


@pytest.mark.parametrize("how", ["disk", "by hand"])
def test_a_full_disk_is_told_and_what_was_kept_stays(tmp_path: Path, attempt: MakeAttempt, how: str) -> None:
    disk = tmp_path / "disk"
    full = nearly_full(disk, room_pages=60) if how == "disk" else by_hand(60)
    with full, Store(disk / "takes.db") as store:
        first = store.put(attempt(1))
        with pytest.raises(LogError, match="full"):
            _put_many(store, [attempt(number, heard=restless(number)) for number in range(2, 29)])
        assert store.get(first) == attempt(1)
        kept = len(store.entries())
        assert store.get(kept).heard == (restless(kept) if kept > 1 else attempt(1).heard)


def restless(seed: int) -> tuple[Heard, ...]:
    """Frames that hardly pack, so that a take is several pages long."""
    rng = random.Random(seed)
    return tuple(
        PitchFrame(0, 120 * k, rng.randrange(1_300_000), 3, True, rng.randrange(1001), -200, -rng.randrange(1200))
        for k in range(2_000)
    )


def _put_many(store: Store, attempts: list[Attempt]) -> None:
    for one in attempts:
        store.put(one)
