"""Keeping is never in the way of a verdict, and nothing that was heard is lost."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from full_disk import by_hand

from audio.heard import Heard, KeyNote, PitchFrame
from audio.units import RATE_HZ
from trainer.errors import LogError
from trainer.library import resolve
from trainer.log import migrations, running
from trainer.log.database import NewerDatabase
from trainer.log.running import Running
from trainer.log.store import Store
from trainer.places import Places
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.reports.as_json import as_text, group_to_json
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.keeping import Keeper, forget_unread, judge_again, new_attempt, open_store, utc

TENOR = 2


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def sung(score: Score, cents_off: int = 0) -> Iterator[Heard]:
    """The tenor, sung by nobody: steady frames on every written pitch, each note left a little before its end."""
    for note in score.lines[TENOR].notes:
        begin, end = int(note.onset_quarters * RATE_HZ), int(note.end_quarters * RATE_HZ)
        for centre in range(begin, end, 120):
            voiced = centre < end - 1_200
            c100 = note.pitch.midi * 10_000 + cents_off * 100 + (centre // 120 % 3 - 1) * 50
            yield PitchFrame(0, centre, c100, 2, voiced, 950 if voiced else 10, -200 if voiced else -700, -600)


def take(score: Score, places: Places | None, told: list[str], cents_off: int = 0) -> tuple[Performance, int | None]:
    settings = Settings()
    keeper = Keeper(new_attempt(score, (TENOR,), settings=settings, source="sung"), places, told.append)
    performance = judge(score, (TENOR,), keeper.keep(sung(score, cents_off)), settings=settings, sources=("sung",))
    return performance, keeper.end(performance)


def text(performance: Performance) -> str:
    return as_text(group_to_json(performance))


def test_a_kept_take_judged_again_is_the_same_bytes(score: Score, home: Places) -> None:
    told: list[str] = []
    performance, number = take(score, home, told, cents_off=-19)
    assert told == []
    assert number is not None
    with open_store(home, told.append) as store:
        attempt = store.get(number)
    assert text(judge_again(attempt, attempt.settings)) == text(performance)
    assert text(judge_again(attempt, Settings(tolerance_cents=15))) != text(performance)


def test_a_keyed_take_judged_again_is_the_same_bytes(score: Score, home: Places) -> None:
    keys = [
        KeyNote(0, int(n.onset_quarters * RATE_HZ) + 300, int(n.end_quarters * RATE_HZ), n.pitch.midi)
        for n in score.lines[TENOR].notes
    ]
    told: list[str] = []
    keeper = Keeper(new_attempt(score, (TENOR,), settings=Settings(), source="keyed"), home, told.append)
    performance = judge(score, (TENOR,), keeper.keep(keys), settings=Settings(), sources=("keyed",))
    number = keeper.end(performance)
    assert number is not None
    with open_store(home, told.append) as store:
        attempt = store.get(number)
    assert performance.takes[0].source == "keyed"
    assert text(judge_again(attempt, attempt.settings)) == text(performance)


def test_nothing_is_written_where_nothing_is_to_be_kept(score: Score, home: Places) -> None:
    _, number = take(score, None, [])
    assert number is None
    assert not home.takes.parent.exists()


def test_a_take_that_was_stopped_is_taken_in_at_the_next_start(score: Score, home: Places) -> None:
    attempt = new_attempt(score, (TENOR,), settings=Settings(), source="sung")
    running = Running(home.running, attempt)
    records = list(sung(score))[:3_000]
    for record in records:
        running.write(record)
    running.close()
    told: list[str] = []
    with open_store(home, told.append) as store:
        number = store.last()
        assert number is not None
        assert store.get(number).heard == tuple(records)
        assert not store.get(number).whole
        assert store.entries()[0].summaries[0]["voice"] == "tenor"
    assert told == [f"a take that was stopped is now take {number}: {score.title}"]
    assert list(home.running.iterdir()) == []


def test_a_take_is_taken_in_once_even_if_its_file_came_back(score: Score, home: Places) -> None:
    attempt = new_attempt(score, (TENOR,), settings=Settings(), source="sung")
    running = Running(home.running, attempt)
    running.close()
    copy = running.path.read_bytes()
    for _ in range(2):
        running.path.write_bytes(copy)
        with open_store(home, lambda _: None) as store:
            assert len(store.entries()) == 1


def test_an_unreadable_left_over_take_is_put_aside_once(home: Places) -> None:
    home.running.mkdir(parents=True)
    (home.running / "x.take").write_bytes(b"words\n")
    told: list[str] = []
    for _ in range(2):
        open_store(home, told.append).__exit__(None, None, None)
    assert len(told) == 1
    assert (home.running / "x.unreadable").read_bytes() == b"words\n"


def test_a_damaged_database_is_put_aside_and_the_take_is_kept(score: Score, home: Places) -> None:
    home.takes.parent.mkdir(parents=True)
    home.takes.write_bytes(b"nothing like a database" * 200)
    told: list[str] = []
    _, number = take(score, home, told)
    assert number == 1
    assert len(told) == 1
    assert "damaged and was put aside" in told[0]
    (aside,) = home.takes.parent.glob("takes.db.damaged-*")
    assert aside.read_bytes() == b"nothing like a database" * 200


def test_a_database_broken_behind_its_first_page_is_put_aside_too(score: Score, home: Places) -> None:
    for _ in range(3):
        take(score, home, [])
    content = bytearray(home.takes.read_bytes())
    content[4096:] = b"\x5a" * (len(content) - 4096)
    home.takes.write_bytes(bytes(content))
    told: list[str] = []
    _, number = take(score, home, told)
    assert number == 1
    assert "damaged" in told[0]


def test_a_newer_database_is_left_alone_and_the_take_waits(score: Score, home: Places) -> None:
    take(score, home, [])
    raw = sqlite3.connect(home.takes)
    raw.execute("PRAGMA user_version = 99")
    raw.close()
    before = home.takes.read_bytes()
    told: list[str] = []
    performance, number = take(score, home, told)
    assert number is None
    assert len(told) == 1
    assert "newer heldline" in told[0]
    assert told[0].endswith("\n  this take waits in a file of its own; the next start that can takes it in")
    assert performance.takes[0].status == "heard"
    assert home.takes.read_bytes() == before
    assert len(list(home.running.glob("*.take"))) == 1
    with pytest.raises(NewerDatabase):
        open_store(home, told.append)
    raw = sqlite3.connect(home.takes)
    raw.execute(f"PRAGMA user_version = {migrations.newest()}")
    raw.close()
    with open_store(home, told.append) as store:
        assert [entry.whole for entry in store.entries()] == [True, True]  # it was heard to its end
    assert told[-1].startswith("a take that waited is now take 2")


def test_a_home_that_cannot_be_written_costs_one_sentence_each_and_no_verdict(score: Score, home: Places) -> None:
    home.takes.parent.write_text("a file in the way")
    told: list[str] = []
    performance, number = take(score, home, told)
    assert number is None
    assert performance.takes[0].result()["held"] == 11
    assert all("kept" in one for one in told)
    assert told[-1].endswith("this take is not kept")
    assert 1 <= len(told) <= 2


def refused(store: Store, attempt: object) -> int:
    raise LogError("the disk is full and the take is not kept", str(store.path), "make room")


def cut_by_the_disk(
    score: Score, home: Places, monkeypatch: pytest.MonkeyPatch, room_pages: int
) -> tuple[str, list[int]]:
    """The last that is told of a take that neither the disk nor the database takes whole; the frames that come in at the next start."""
    told: list[str] = []
    with by_hand(room_pages), monkeypatch.context() as change:
        change.setattr(running, "FLUSH_SECONDS", 0.0)
        change.setattr(Store, "put", refused)
        assert take(score, home, told)[1] is None
    with open_store(home, lambda _: None) as store:
        found = [store.get(entry.number).heard for entry in store.entries()]
    assert len(found) <= 1
    return told[-1], [record.centre_frame for heard in found for record in heard if isinstance(record, PitchFrame)]


def test_a_take_whose_beginning_alone_was_written_down_is_told_how_much_of_it_waits(
    score: Score, home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    said, frames = cut_by_the_disk(score, home, monkeypatch, room_pages=12)
    seconds = round((frames[-1] - frames[0]) / RATE_HZ)
    assert seconds > 1
    assert said.endswith(
        f"\n  only the first {seconds} s of this take wait in a file of their own; the next start that can takes them in"
    )


def test_a_take_of_which_nothing_that_was_heard_is_written_down_is_not_kept_and_no_empty_one_comes_in(
    score: Score, home: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    said, frames = cut_by_the_disk(score, home, monkeypatch, room_pages=1)
    assert said.endswith("\n  this take is not kept")
    assert frames == []
    with Store(home.takes) as store:
        assert store.entries() == []


def test_a_take_that_the_database_took_whole_is_not_said_to_be_cut(score: Score, home: Places) -> None:
    told: list[str] = []
    with by_hand(1):  # the database is opened after it
        keeper = Keeper(new_attempt(score, (TENOR,), settings=Settings(), source="sung"), home, told.append)
        performance = judge(score, (TENOR,), keeper.keep(sung(score)), settings=Settings())
    assert keeper.end(performance) == 1
    assert told == []


def test_recordings_are_kept_only_when_asked_for_and_go_with_their_take(
    score: Score, home: Places, tmp_path: Path
) -> None:
    recording = tmp_path / "take.WAV"
    recording.write_bytes(b"sound")
    settings = Settings()
    keeper = Keeper(new_attempt(score, (TENOR,), settings=settings, source="sung"), home, lambda _: None)
    performance = judge(score, (TENOR,), keeper.keep(sung(score)), settings=settings)
    number = keeper.end(performance, recordings=[str(recording)])
    assert number is not None
    (kept,) = home.sound.iterdir()
    assert kept.read_bytes() == b"sound"
    with Store(home.takes) as store:
        store.remove(number, utc(days_ago=8))
    open_store(home, lambda _: None).__exit__(None, None, None)
    assert list(home.sound.iterdir()) == []
    with Store(home.takes) as store:
        assert store.entries() == []


def test_a_recording_that_cannot_be_copied_is_told_and_the_take_stays(
    score: Score, home: Places, tmp_path: Path
) -> None:
    told: list[str] = []
    keeper = Keeper(new_attempt(score, (TENOR,), settings=Settings(), source="sung"), home, told.append)
    performance = judge(score, (TENOR,), keeper.keep(sung(score)), settings=Settings())
    assert keeper.end(performance, recordings=[str(tmp_path / "gone.wav")]) == 1
    assert "the recording is not kept" in told[0]


def test_forgetting_deletes_what_no_list_shows(home: Places) -> None:
    for path in (home.sound / "a.wav", home.running / "b.unreadable", home.takes.with_name("takes.db.damaged-1")):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("x")
    assert forget_unread(home) == 3
    shutil.rmtree(home.sound)
    assert forget_unread(home) == 0


def test_settings_of_a_live_take_are_kept_with_its_anchors(score: Score, home: Places) -> None:
    from audio.heard import Anchor

    anchors = (Anchor(12_000, Fraction(0), Fraction(60)),)
    attempt = new_attempt(score, (TENOR,), settings=Settings(), source="sung", anchors=anchors)
    keeper = Keeper(attempt, home, lambda _: None)
    performance = judge(score, (TENOR,), keeper.keep(sung(score)), settings=Settings(), anchors=anchors)
    number = keeper.end(performance)
    assert number is not None
    with open_store(home, lambda _: None) as store:
        assert store.get(number).anchors == anchors
        assert text(judge_again(store.get(number), Settings())) == text(performance)
