"""Courses choose voices, guide, bars and tempo for the next take and say why; a session follows them on the pretend link."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from kept_takes import judged
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score

from trainer.drill.rounds import Drill, stages
from trainer.ladder.rungs import rungs
from trainer.library import resolve
from trainer.live.choices import Choices
from trainer.live.courses import AGAIN, ASK, DrillCourse, LadderCourse, TuneCourse
from trainer.live.desk import Desk
from trainer.live.state import State
from trainer.live.stems import Stems
from trainer.practice.beside import Beside
from trainer.practice.signs import Sign
from trainer.practice.take import Performance
from trainer.score.model import Score
from trainer.score.naming import Names
from trainer.tuning.chords import chords_score
from trainer.tuning.places import places
from trainer.voices.drone import drone_midi

QPM = Fraction(60)


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def choices() -> Choices:
    return Choices(Desk(TENOR), QPM)


def sung(score: Score, *wrong: int, sign: Sign = Sign.OFF, to: str = "alto", status: str = "heard") -> Performance:
    made = judged(score, TENOR, dict.fromkeys((bar - 1 for bar in wrong), sign), pulled_to=to)
    return Performance((replace(made, status=status),))


def ladder(score: Score) -> LadderCourse:
    return LadderCourse(rungs(score, TENOR, {}), 4)


def test_a_ladder_begins_alone_with_the_guide_and_says_where(score: Score) -> None:
    turn = ladder(score).begin(choices())
    assert turn.says == "Rung 1 of 9: own line with the guide."
    assert (turn.choices.desk.guide, turn.choices.desk.muted) == ("full", frozenset({0, 1, 3}))
    assert turn.choices.beside(4) == Beside(sounding=(), guide="full")


def test_each_rung_stands_the_voices_as_it_says(score: Score) -> None:
    course, now = ladder(score), choices()
    seen = []
    for _ in range(9):
        now = course.begin(now).choices
        seen.append((now.beside(4).sounding, now.desk.guide, now.desk.drone, now.shown, now.silent_bars))
        course.jump(1, now)
    assert seen[1] == ((), "entries", "on", "beats", None)
    assert seen[2] == ((3,), "off", "off", "beats", None)
    assert seen[7] == ((0, 1, 3), "off", "off", "end", (5, 6))


def test_two_clean_takes_go_up_and_the_singer_may_go_down_again(score: Score) -> None:
    course, now = ladder(score), choices()
    now = course.after(sung(score), now).choices
    turn = course.after(sung(score), now)
    assert turn.then == ASK
    assert turn.says == "Two clean takes. Rung 2 of 9: own line over a drone."
    assert course.jump(-1, turn.choices).says == "Rung 1 of 9: own line with the guide."


def test_what_company_costs_is_told_on_the_rung_where_it_shows(score: Score) -> None:
    course, now = ladder(score), choices()
    for _ in range(4):
        now = course.after(sung(score), now).choices
    assert course.rung.name == "against the bass"
    turn = course.after(sung(score, 9, 10, sign=Sign.PULLED, to="bass"), now)
    assert turn.says == "You know the notes; company costs you 2 of 11, all to the bass."


def test_five_takes_in_vain_are_enough_for_a_day(score: Score) -> None:
    course, now = ladder(score), choices()
    for _ in range(4):
        course.after(sung(score, 2, 3), now)
    assert "enough for today" in course.after(sung(score, 2, 3), now).says


def test_a_drill_takes_its_bars_and_tempo_and_goes_on_by_itself(score: Score) -> None:
    course = DrillCourse(Drill(stages(9, 10, earliest=1, order="forward")), QPM, score.bars())
    turn = course.begin(choices())
    assert (turn.choices.bars, turn.choices.qpm, turn.then) == ((8, 10), QPM, AGAIN)
    course.after(sung(score, 9, 10), turn.choices)
    slower = course.after(sung(score, 9, 10), turn.choices)
    assert (slower.choices.qpm, slower.then) == (48, AGAIN)
    assert slower.says == "Slower: 48 quarters a minute."
    faster = course.after(sung(score), slower.choices)
    assert (faster.choices.qpm, faster.says) == (60, "Back up: 60 quarters a minute.")
    for _ in range(2):
        assert course.after(sung(score), faster.choices).then == AGAIN
    assert course.after(sung(score), faster.choices).then == ASK


def test_who_is_pulled_five_times_is_sent_to_that_voice_alone(score: Score) -> None:
    course = DrillCourse(Drill(((8, 10),)), QPM, score.bars(), {"alto": "heldline drill with --with alto alone"})
    now = course.begin(choices()).choices
    for _ in range(4):
        course.after(sung(score, 9, 10, sign=Sign.PULLED), now)
    turn = course.after(sung(score, 9, 10, sign=Sign.PULLED), now)
    assert turn.then == ASK
    assert "you go to the alto; try heldline drill with --with alto alone" in turn.says


def test_who_fails_for_another_reason_is_sent_to_a_slower_tempo_or_the_line_alone(score: Score) -> None:
    course = DrillCourse(Drill(((8, 10),), steps="kept"), Fraction(120), score.bars())
    for _ in range(4):
        assert course.after(sung(score, 9, 10), choices()).then == AGAIN
    turn = course.after(sung(score, 9, 10), choices())
    assert turn.says == "Five takes with the same trouble: try 96 quarters a minute, or your line alone."


def test_a_take_broken_off_waits_for_the_singer(score: Score) -> None:
    course = DrillCourse(Drill(((8, 10),)), QPM, score.bars())
    assert course.after(sung(score, status="incomplete"), choices()).then == ASK


def test_the_drone_is_the_final_below_the_line(score: Score) -> None:
    assert drone_midi(score, TENOR) == 47  # B2 under D#3
    assert drone_midi(score, 0) == 59  # B3 under D4


def test_in_silent_bars_every_other_voice_is_silent_and_the_own_guide_is_not() -> None:
    score = short_score()
    stems = Stems(score, TENOR, SETTINGS, 0, RATE_HZ, silent_bars=(2, 3))
    parts = stems.music(lambda quarters: round(quarters * RATE_HZ / 2))
    second = RATE_HZ
    for line in range(4):
        loud = [
            float(np.abs(parts[line].stems(k * second + second // 4, (k + 1) * second - second // 4)).max()) > 0.001
            for k in range(4)
        ]
        assert loud == ([True] * 4 if line == TENOR else [True, False, False, True])


def test_a_desk_without_a_drone_gives_none() -> None:
    assert Desk(TENOR).gain("drone").left == 0
    assert Desk(TENOR, drone="on").gain("drone").left > 0


@pytest.mark.parametrize(("shown", "beats", "reports"), [("beats", 2, 1), ("end", 0, 1), ("none", 0, 0)])
def test_a_session_shows_beats_the_end_or_nothing_until_it_is_asked(shown: str, beats: int, reports: int) -> None:
    from audio.devices.fake import FakeSound
    from trainer.live.delay import Delay
    from trainer.live.session import Session
    from trainer.live.wish import Wish

    states: list[State] = []

    class Face:
        """Looks on."""

        def show(self, state: State) -> None:
            states.append(state)

        def commands(self) -> list[str]:
            return []

    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ, block_frames=480)
    wish = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR), look_through_seconds=0, shown=shown, bars=(1, 1))
    Session(
        link, wish, Delay(768, "measured", RATE_HZ), Face(), wait=link.advance_seconds, places=None, tell=str
    ).run()  # fmt: skip
    assert max(len(state.beats) for state in states) == beats
    assert any(state.performance is not None for state in states) == bool(reports)


def test_a_course_of_chords_names_the_one_that_most_wants_it() -> None:
    chords = chords_score(resolve("1"), TENOR, places(resolve("1"), TENOR, ("third",)))
    course = TuneCourse(chords, Names("degrees"))
    assert course.begin(choices()).says.startswith("First the others")
    wrong = judged(chords, TENOR, {2: Sign.OFF})
    beats = tuple(
        replace(beat, bar=one.bar, sign=one.sign, cents=0) for one, beat in zip(wrong.notes, wrong.beats, strict=True)
    )
    turn = course.after(Performance((replace(wrong, beats=beats),)), choices())
    assert turn.says.startswith("Third of B major, bar 11 of the piece: off")
    assert turn.then == ASK
    assert course.jump(1, choices()).choices == choices()


def test_a_session_on_a_ladder_keeps_what_was_around_the_singer_and_climbs_when_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from audio.devices.fake import FakeSound
    from trainer.live.delay import Delay
    from trainer.live.session import Session
    from trainer.live.wish import Wish
    from trainer.log.history import History
    from trainer.places import places
    from trainer.takes.keeping import open_store

    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    score = short_score()
    course = LadderCourse(rungs(score, TENOR, {}), 4)
    told, cues = [], ["harder", "harder", "go", "mute", "quit"]

    class Face:
        """Goes two rungs up after the first take, mutes a voice while the second runs, and leaves after it."""

        def show(self, state: State) -> None:
            told.append(state)

        def commands(self) -> list[str]:
            wanted = "singing" if cues and cues[0] == "mute" else "done"
            return [cues.pop(0)] if cues and told and told[-1].phase == wanted else []

    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ, block_frames=480)
    wish = Wish(
        score, TENOR, SETTINGS, Desk(TENOR), look_through_seconds=0, count_in_bars=1, rounds="asked", course=course
    )
    came = Session(
        link,
        wish,
        Delay(768, "measured", RATE_HZ),
        Face(),
        wait=link.advance_seconds,
        places=places(),
        tell=told.append,
    ).run()
    assert len(came.performances) == 2
    assert told[0].notice == "Rung 1 of 8: own line with the guide."
    assert any(getattr(state, "notice", "") == "Rung 3 of 8: against the bass." for state in told)
    with open_store(places(), print) as store:
        assert store.get(1).beside == Beside(sounding=(), guide="full")
        assert store.get(2).beside == Beside()  # changed on the way: nobody can say
        assert [one.company for one in History(store).lines()] == ["alone", "unknown"]
