"""A session on the pretend link: phases in their order, every command, loops, stops, what is kept. Nobody waits: the clock is by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import slips
from live_rig import RATE_HZ, SETTINGS, TENOR, Rig, short_score
from session_rig import DELAY, Script, phase, run, singing_from, sung

from trainer.drill.rounds import Drill
from trainer.errors import LogError
from trainer.live.choices import bars_of
from trainer.live.courses import DrillCourse
from trainer.live.desk import Desk
from trainer.live.rest import NUDGE
from trainer.live.watch import PERFECT_SILENCE
from trainer.log.store import Store
from trainer.places import places as own_places
from trainer.practice.clean import is_clean
from trainer.practice.take import Performance
from trainer.takes.keeping import open_store


def test_one_take_goes_from_tuning_note_to_done_and_comes_to_a_performance():
    def empty(each):
        run(Script(), each=each)

    face = Script()
    came, _, _ = run(face, sung(empty))
    assert face.phases == ["tuning note", "count-in", "singing", "done"]
    (performance,) = came.performances
    assert [n.sign.value for n in performance.takes[0].notes] == ["held"] * 4
    assert [b.sign.value for b in face.told.beats] == ["held"] * 8
    assert came.interrupted == ""


def test_the_look_through_counts_down_and_begins_by_itself():
    face = Script()
    _, _link, _ = run(face, look_through_seconds=3)
    assert face.phases[:4] == ["tuning note", "look-through", "tuning note", "count-in"]
    left = [s.seconds_left for s in face.states if s.phase == "look-through"]
    assert (left[0], left[-1]) == (3, 1)
    assert left == sorted(left, reverse=True)


def test_a_key_ends_the_tuning_note_and_the_look_through():
    face = Script((phase("tuning note"), "go"), (phase("look-through"), "go"))
    _, link, _session = run(face, look_through_seconds=60)
    assert link.write_until() < 25 * RATE_HZ


def test_silent_takes_give_no_pitch_and_still_count():
    face = Script()
    _, link, _ = run(face, desk=Desk(TENOR, sounding="silent"))
    assert face.phases == ["count-in", "singing", "done"]
    assert not link.left().any()


def test_stop_ends_the_take_with_what_was_sung_and_no_beat_is_told_after_it():
    face = Script((singing_from(4), "go"))
    came, _, _ = run(face)
    assert [n.sign.value for n in came.performances[0].takes[0].notes][-1] in ("unsure", "silent")
    assert len(face.told.beats) < 8


def test_again_throws_the_take_away_and_begins_anew(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    face = Script((singing_from(2), "again"))
    came, _, _ = run(face, places=own_places())
    assert face.phases.count("singing") == 2
    assert len(came.performances) == 1
    assert not list(own_places().running.glob("*"))
    with open_store(own_places(), print) as store:
        assert len(store.entries()) == 1


def test_the_first_note_asked_for_while_counting_begins_anew():
    face = Script((phase("count-in"), "note"))
    came, _, _ = run(face)
    assert face.phases.count("count-in") == 2
    assert len(came.performances) == 1


def test_ctrl_c_ends_the_take_keeps_it_and_says_so(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))

    def each(link, session):
        if face.told is not None and singing_from(3)(face.told) and not done:
            done.append(True)
            session.interrupt()

    done, face = [], Script()
    came, _, _ = run(face, places=own_places(), each=each)
    assert came.interrupted == "yes"
    assert came.numbers == [1]


def test_ctrl_c_before_a_take_leaves_without_one():
    def each(link, session):
        session.interrupt()

    came, _, _ = run(Script(), each=each, look_through_seconds=10)
    assert (came.performances, came.interrupted) == ([], "yes")


def test_the_start_key_while_bars_are_counted_starts_over():
    face = Script((phase("count-in"), "go"))
    came, _, _ = run(face)
    assert face.phases.count("count-in") == 2
    assert face.phases.count("singing") == 1
    assert len(came.performances) == 1


def test_quitting_in_a_take_keeps_it_and_leaves():
    face = Script((singing_from(4), "quit"))
    came, _, _ = run(face, rounds="asked")
    assert len(came.performances) == 1
    assert came.interrupted == ""


def test_pause_and_go_on():
    face = Script((singing_from(2), "pause"), (lambda s: s.phase == "pause", "go"))
    came, _, _ = run(face)
    assert face.phases[-4:] == ["singing", "pause", "singing", "done"] or "pause" in face.phases
    assert len(came.performances) == 1


def test_commands_move_the_desk_and_the_state_shows_it():
    face = Script(
        (phase("count-in"), "click"),
        (phase("singing"), "guide"),
        (singing_from(1), "mute"),
        (singing_from(2), "help"),
        (singing_from(3), "help"),
    )
    run(face)
    last = face.told
    assert (last.desk.click, last.desk.guide, last.desk.muted, last.help) == ("silent", "full", frozenset({0}), "")
    assert any(s.help == "shown" for s in face.states)


def test_the_next_page_of_the_keys_is_shown_while_somebody_sings_and_help_begins_at_the_first():
    face = Script(
        (singing_from(1), "help"), (singing_from(2), "more"), (singing_from(3), "help"), (singing_from(4), "help")
    )
    run(face)
    pages = [(state.help, state.page) for state in face.states if state.phase == "singing"]
    assert list(dict.fromkeys(pages)) == [("", 0), ("shown", 0), ("shown", 1)]
    assert pages[-1] == ("shown", 0)


def test_a_slower_tempo_in_the_music_makes_it_longer():
    plain, slow = Script(), Script((singing_from(2), "slower"))
    _, first, _ = run(plain)
    _, second, _ = run(slow)
    assert second.write_until() > first.write_until() + RATE_HZ // 10
    assert slow.told.tempo_qpm == SETTINGS.tempo_qpm * Fraction(9, 10)


def test_after_a_take_the_bars_and_the_tempo_can_be_chosen_and_why_is_told():
    face = Script(
        (lambda s: s.phase == "done", "why"),
        (lambda s: bool(s.asked), "=2.1"),
        (lambda s: s.why is not None, "bars"),
        (lambda s: "bars" in s.asked, "=2-3"),
        (lambda s: s.asked == "", "tempo"),
        (lambda s: "quarters" in s.asked, "=100"),
        (lambda s: s.asked == "", "go"),
        (lambda s: s.phase == "singing", "help"),
        (lambda s: s.phase == "done", "quit"),
    )
    came, _, _ = run(face, rounds="asked")
    assert any(s.why == (2, 1) for s in face.states)
    again = came.performances[1].takes[0]
    assert [note.printed_bar for note in again.notes] == ["2", "3"]
    assert again.tempo_qpm == 100


@pytest.mark.parametrize(
    ("question", "answer", "told"),
    [
        ("bars", "7-9", "there are bars 1 to 4"),
        ("bars", "x", "'x' is not possible here"),
        ("tempo", "9999", "a tempo of 9999 is outside 10 to 400 quarters a minute"),
        ("tempo", "1/0", "'1/0' is not possible here"),
        ("why", "77.1", "there is no bar and beat 77.1"),
        ("bars", "\x1b", ""),
    ],
)
def test_an_answer_that_cannot_be_is_told_and_changes_nothing(question, answer, told):
    face = Script(
        (lambda s: s.phase == "done", question),
        (lambda s: bool(s.asked), f"={answer}"),
        (lambda s: not s.asked, "quit"),
    )
    came, _, _ = run(face, rounds="asked")
    assert face.told.notice == told
    assert len(came.performances) == 1


def loop():
    """Round and round the two bars of the short score."""
    return DrillCourse(Drill(((1, 2),), steps="kept"), Fraction(120), short_score().bars())


def test_a_loop_ends_after_three_clean_takes():
    def empty(each):
        run(Script((lambda s: "Nobody is heard" in s.notice, "quit")), rounds="asked", course=loop(), each=each)

    face = Script((lambda s: "Three clean" in s.notice, "quit"))
    came, _, _ = run(face, sung(empty), rounds="asked", course=loop())
    assert len(came.performances) == 3
    assert all(is_clean(performance.takes[0]) for performance in came.performances)


def test_a_loop_in_which_nobody_sings_stops_and_says_so():
    face = Script((lambda s: "Nobody is heard" in s.notice, "quit"))
    came, _, _ = run(face, rounds="asked", course=loop(), until_s=200)
    assert len(came.performances) == 5


def test_a_disk_that_is_full_all_through_a_loop_is_told_once_and_every_take_waits(tmp_path, monkeypatch):
    def full(store, attempt):
        raise LogError("the disk is full and the take is not kept", str(store.path), "make room")

    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    monkeypatch.setattr(Store, "put", full)
    told = []
    face = Script()
    came, _, _ = run(face, rounds="one", course=loop(), until_s=200, places=own_places(), tell=told)
    assert came.numbers == [None] * 5
    assert face.told.notice.startswith("Nobody is heard")  # where nobody is asked, too, and that ends the session
    assert len([one for one in told if "disk is full" in one]) == 1
    assert len(list(own_places().running.glob("*.take"))) == 5
    monkeypatch.undo()
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    with open_store(own_places(), told.append) as store:
        assert len(store.entries()) == 5


def test_a_device_that_vanishes_in_the_take_keeps_it_and_leaves(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))

    def each(link, session):
        if face.told is not None and singing_from(4)(face.told):
            link.vanish()

    face = Script()
    came, _, _ = run(face, places=own_places(), each=each, rounds="asked")
    assert came.numbers == [1]
    assert "the sound server is gone; the take so far is judged and kept" in face.told.notice


def test_a_device_that_vanishes_before_the_take_is_an_error():
    from trainer.errors import DeviceError

    def each(link, session):
        link.vanish()

    with pytest.raises(DeviceError, match="gone"):
        run(Script(), each=each, look_through_seconds=5)


def test_exact_zeros_are_told_after_a_second_and_a_room_is_not():
    face = Script()
    run(face)
    assert any(s.warning == PERFECT_SILENCE for s in face.states)
    room = (np.random.default_rng(2).standard_normal(30 * RATE_HZ) * 1e-4).astype(np.float32)
    quiet = Script()
    run(quiet, room)
    assert not any(s.warning for s in quiet.states)


def test_after_twenty_minutes_of_singing_rest_is_named_once():
    face = Script(
        (lambda s: s.phase == "done" and s.notice != "", "go"),
        (lambda s: s.phase == "singing", "help"),
        (lambda s: s.phase == "done", "quit"),
    )

    def each(link, session):
        if face.told is not None and face.told.phase == "singing":
            session._rest_from.sung(0 if asked else 20 * 60 * RATE_HZ)
            asked.append(True)

    asked = []
    run(face, rounds="asked", each=each)
    assert any(s.notice == NUDGE for s in face.states)


def test_another_octave_is_given_and_shown():
    face = Script(
        (lambda s: s.phase == "done", "octave"),
        (lambda s: s.octaves == -1, "octave"),
        (lambda s: s.octaves == 1, "quit"),
    )
    run(face, rounds="asked")
    assert face.told.octaves == 1


def an_octave_higher():
    return tuple(replace(note, midi=note.midi + 12) for note in Rig().as_written())


def test_after_a_take_an_octave_higher_the_first_note_is_given_there():
    def twice(each=None, microphone=None):
        face = Script(
            (lambda s: s.phase == "done", "go"), (phase("singing"), "help"), (lambda s: s.phase == "done", "quit")
        )
        return run(face, microphone, rounds="asked", each=each), face

    (came, _, _), face = twice(microphone=sung(twice, performance=an_octave_higher()))
    takes = [performance.takes[0] for performance in came.performances]
    assert [take.octave_shift for take in takes] == [1, 1]
    given = [s.octaves for s in face.states if s.phase == "tuning note"]
    assert (given[0], given[-1], came.octaves) == (0, 1, 1)


def test_two_held_notes_are_wanted_before_an_octave_is_believed():
    come, _, _ = run(Script(), sung(lambda each: run(Script(), each=each), performance=an_octave_higher()[:1]))
    assert come.octaves == 0


def test_the_delay_and_who_says_so_stand_in_every_state():
    face = Script()
    run(face, delay=replace(DELAY, source="reported"))
    assert face.told.delay.startswith("16 ms there and back, reported; timing is not judged")


def test_bars_are_read_as_typed():
    assert bars_of("9-10") == (9, 10)
    assert bars_of(" 7 ") == (7, 7)
    for words in ("", "a-b", "3-", "-3x"):
        if words == "3-":
            assert bars_of(words) == (3, 3)
            continue
        with pytest.raises(ValueError, match="bar"):
            bars_of(words)


def test_a_slip_of_the_voice_is_no_clean_take():
    rig = Rig()
    from live_rig import hear

    clean = hear(rig, rig.microphone(rig.as_written())).performance
    wrong = hear(rig, rig.microphone(slips.at_pitch(rig.as_written(), 1, 54.0))).performance
    assert isinstance(clean, Performance)
    assert is_clean(clean.takes[0])
    assert not is_clean(wrong.takes[0])
