"""ladder and drill: what is listed, what is refused, and that a loop, a drill and a ladder are what they ask for."""

from __future__ import annotations

from pathlib import Path

import pytest
from heldline_command import heldline
from kept_takes import keep

from trainer.cli import _live, drill, ladder
from trainer.cli._parser import parse
from trainer.library import resolve
from trainer.live.courses import DrillCourse, LadderCourse
from trainer.log.store import Store
from trainer.places import places
from trainer.practice.beside import Beside
from trainer.practice.signs import Sign


def test_the_rungs_are_listed_for_people_and_programs() -> None:
    done = heldline("ladder", "Ferry Bell at Low Water", "--list")
    assert done.out.splitlines()[3] == " 4  against the alto"
    table = heldline("ladder", "Ferry Bell at Low Water", "--voice", "tenor", "--list", "--json").table
    assert [rung["sounding"] for rung in table["rungs"]][4] == ["alto", "bass"]


def test_the_voice_that_pulled_in_kept_takes_comes_first() -> None:
    with Store(places().takes) as store:
        for _ in range(2):
            keep(store, resolve("1"), 2, "2026-03-01T19:00:00Z", {8: Sign.PULLED}, pulled_to="soprano")
    assert heldline("ladder", "1", "--list").out.splitlines()[3] == " 4  against the soprano"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("drill", "1", "--voice", "tenor"), "no bar is known to be weak yet"),
        (("drill", "1", "--voice", "tenor", "--bars", "9", "--loop"), "a drill goes round by itself"),
        (("drill", "1", "--bars", "99"), "there are no bars 99"),
        (("drill", "1", "--bars", "9", "--with", "flute"), "has no voice called flute\n  --with\n"),
        (("drill", "1", "--bars", "9", "--with", "alto", "--mute", "bass"), "--with and --mute say the same"),
        (("drill", "--bars", "9"), "SCORE is missing"),
        (("ladder",), "SCORE is missing"),
        (("ladder", "1", "--rung", "77"), "there is no rung 77"),
        (("ladder", "1", "--list", "--rung", "99"), "there is no rung 99"),
        (("ladder", "1", "--guide", "full"), "the ladder decides about guide"),
        (("ladder", "1", "--bars", "1-4"), "the ladder decides about bars"),
        (("ladder", "1", "--show", "end"), "the ladder decides about what is shown"),
    ],
)
def test_what_cannot_be_is_one_clear_sentence(words: tuple[str, ...], said: str) -> None:
    done = heldline(*words)
    assert done.status == 2
    assert said in done.err


def test_a_drill_is_of_its_bars_with_the_run_up_bar_and_only_the_voices_asked_for(tmp_path: Path) -> None:
    args = parse(["drill", "1", "--voice", "tenor", "--bars", "9-10", "--with", "alto", "--last-first"])
    wish = drill.drilled(args, _live.wish_of(args))
    assert isinstance(wish.course, DrillCourse)
    assert wish.course.drill.stages == ((9, 10), (8, 10))
    assert wish.desk.muted == {0, 3}
    assert wish.course.drill.steps == "slower"


def test_a_drill_without_bars_is_of_the_one_that_failed_worst_last() -> None:
    with Store(places().takes) as store:
        keep(store, resolve("1"), 2, "2026-03-01T19:00:00Z", {3: Sign.FLAT, 8: Sign.PULLED})
        keep(store, resolve("1"), 1, "2026-03-01T19:00:00Z", {5: Sign.PULLED})  # another voice
    args = parse(["drill", "1", "--voice", "tenor"])
    course = drill.drilled(args, _live.wish_of(args)).course
    assert isinstance(course, DrillCourse)
    assert course.drill.stages == ((8, 9),)


def test_a_loop_keeps_its_tempo_and_begins_a_bar_before() -> None:
    args = parse(["sing", "1", "--voice", "tenor", "--bars", "9-10", "--loop"])
    wish = _live.wish_of(args)
    assert isinstance(wish.course, DrillCourse)
    assert wish.course.drill.stages == ((8, 10),)
    assert wish.course.drill.steps == "kept"


def test_a_ladder_goes_on_where_it_was_left() -> None:
    def begun(*words: str) -> str:
        args = parse(["ladder", "1", "--voice", "tenor", *words])
        course = ladder.on_the_ladder(args, _live.wish_of(args)).course
        assert isinstance(course, LadderCourse)
        return course.rung.name

    def sing(beside: Beside, *faults: int) -> None:
        with Store(places().takes) as store:
            keep(store, resolve("1"), 2, "2026-03-01T19:00:00Z", dict.fromkeys(faults, Sign.OFF), beside=beside)

    assert begun() == "own line with the guide"
    guided, droned, bass = Beside((), "full"), Beside((), "entries", "on"), Beside((3,))
    for beside in (guided, guided, droned, droned, bass):
        sing(beside)
    assert begun() == "against the bass"
    sing(Beside((0, 1)))  # not of the ladder
    assert begun() == "against the bass"
    for _ in range(2):
        sing(bass, *range(6))
    assert begun() == "own line over a drone"
    assert begun("--rung", "1") == "own line with the guide"


def test_a_ladder_begins_where_it_is_told_to() -> None:
    args = parse(["ladder", "1", "--voice", "tenor", "--rung", "4"])
    wish = ladder.on_the_ladder(args, _live.wish_of(args))
    assert isinstance(wish.course, LadderCourse)
    assert wish.course.rung.name == "against the alto"
