"""A section's rehearsal on the pretend link: together, one after another, what it came to, and what is kept of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import slips
from handmade_takes import faulty_take
from live_rig import TENOR, Rig, short_score
from section_rig import book_in, course_of, places_in, rehearsed, voice
from session_rig import Script, phase

from trainer.errors import DeviceError
from trainer.judge.section import Desk, Section, SectionBar
from trainer.live.choices import ONE, SungBy
from trainer.live.section_standing import own_words, result_stands
from trainer.log.history import History
from trainer.log.rehearsals import Rehearsals
from trainer.log.store import Store
from trainer.practice.signs import Sign
from trainer.section.copies import Copies
from trainer.section.turns import Turns
from trainer.takes.rehearsed import Book

WREN, HERON, TEAL = "wren", "heron", "teal"


@cache
def right():
    return voice()


@cache
def follower():
    """The soprano's notes in bars 3 and 4, in the tenor's octave."""
    rig = Rig()
    tops = [note.pitch.midi for note in rig.score.lines[0].notes]
    sung = rig.as_written()
    for index in (2, 3):
        own = sung[index].midi
        sung = slips.at_pitch(
            sung, index, min((tops[index] + 12 * k for k in range(-3, 3)), key=lambda m: abs(m - own))
        )
    return voice(sung)


@cache
def basses():
    """The bass's whole line."""
    rig = Rig()
    notes = zip(rig.as_written(), rig.score.lines[3].notes, strict=True)
    return voice(tuple(replace(own, midi=float(theirs.pitch.midi)) for own, theirs in notes))


@cache
def two_at_once(*indexes):
    """Beside the tenor another singer in these notes, three semitones higher, where no voice of the score is."""
    beside = voice(tuple(replace(note, midi=note.midi + 3) for note in Rig().as_written() if note.index in indexes))
    both = right().copy()
    both[: len(beside)] += beside[: len(both)]
    return both


def next_is(who):
    return lambda state: state.phase in ("ready", "done") and state.standing.large == ("next", who, "space")


def came_to(*large):
    return lambda state: state.phase == "done" and state.standing.large[: len(large)] == large


def all_sung(state):
    return state.phase == "done" and state.standing.large[0] != "next"


def turns_of(folder: Path, key: str):
    with Store(places_in(folder).takes) as store:
        return [label for _, label in Rehearsals(store).turns(key)]


def test_three_desks_sing_one_after_another_and_bar_and_cause_are_told_without_a_name(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON, TEAL)
    face = Script(
        (phase("ready"), "turns"), (next_is(WREN), "go"), (next_is(HERON), "go"), (next_is(TEAL), "go"),
        (came_to("bar 3"), "quit"),
    )  # fmt: skip
    came = rehearsed(tmp_path, course, face, {WREN: right(), HERON: follower(), TEAL: follower()})
    # one key between two singers: all cues were needed, and no others
    assert not face.cues
    large, small = face.told.standing.large, " ".join(face.told.standing.small)
    assert large == ("bar 3", "1 of 3", "space")
    assert "Bar 3: 1 of 3 held; 2 pulled to the soprano." in small
    assert "space: loop bars 2 to 3, slowly; first against the soprano only, then against all." in small
    assert not {WREN, HERON, TEAL} & set(small.replace(";", " ").split())
    section = book.section(course.rehearsal.key)
    assert [(bar.bar, bar.sang, bar.held) for bar in section.bars] == [(1, 3, 3), (2, 3, 3), (3, 3, 1), (4, 3, 1)]
    assert turns_of(tmp_path, course.rehearsal.key) == [WREN, HERON, TEAL]
    assert len(came.performances) == 3
    # nothing of how a single desk did was ever on the screen
    shown = [state for state in face.states if state.performance is not None or state.beats]
    assert shown == []
    # what desks sing says nothing of whoever practises at this machine
    with Store(places_in(tmp_path).takes) as store:
        assert History(store).lines() == []


def test_together_goes_round_by_itself_until_stopped_and_nothing_of_a_crowd_is_kept(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book)
    rounds = iter(range(100))

    def third(state):
        return state.phase == "count-in" and course.rehearsal.rounds == 2 and next(rounds) == 3

    face = Script((phase("ready"), "go"), (third, "go"), (phase("done"), "quit"))
    came = rehearsed(tmp_path, course, face, {"tenors": right()})
    assert face.told.notice == "Stopped; nothing of it is kept."
    assert course.rehearsal.rounds == 2
    assert came.performances == []
    with Store(places_in(tmp_path).takes) as store:
        assert store.entries() == []
        assert Rehearsals(store).last(short_score(), TENOR).rounds == 2


def test_who_would_rather_not_leaves_no_trace_and_who_is_not_heard_is_asked_once_more(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON)
    heard = lambda state: next_is(HERON)(state) and "Nobody was heard. heron once more" in state.notice  # noqa: E731
    face = Script(
        (phase("ready"), "turns"), (next_is(WREN), "pass"), (next_is(HERON), "go"), (heard, "pass"),
        (came_to("nobody"), "quit"),
    )  # fmt: skip
    rehearsed(tmp_path, course, face, {})
    assert not face.cues
    section = book.section(course.rehearsal.key)
    assert all(bar.sang == 0 for bar in section.bars)
    assert WREN not in [desk.label for desk in section.desks]


def test_a_desk_that_sings_another_voices_line_is_named_as_that_and_fails_no_bar(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, HERON)
    face = Script((phase("ready"), "turns"), (next_is(HERON), "go"), (came_to("all"), "quit"))
    rehearsed(tmp_path, course, face, {HERON: basses()})
    assert face.told.standing.large == ("all", "held", "space")
    assert "1 desk sang the bass's line and is left out of the bars." in face.told.standing.small


def test_a_microphone_that_vanishes_keeps_who_sang_before_and_the_rehearsal_goes_on_later(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON, TEAL)
    face = Script((phase("ready"), "turns"), (next_is(WREN), "go"), (next_is(HERON), "go"))

    def unplugged(link, session):
        if face.told.phase == "singing" and face.told.standing.who == HERON and face.told.quarters > 2:
            link.vanish()

    try:
        rehearsed(tmp_path, course, face, {WREN: right(), HERON: right()}, each=unplugged)
    except DeviceError:
        pytest.fail("a take that ends with its device is judged and kept, and the session leaves")
    desks = {desk.label: desk.take.status for desk in book.desks(course.rehearsal.key)}
    assert desks[WREN] == "heard"
    assert desks.get(HERON, "incomplete") == "incomplete"
    kept = book.last()
    assert kept is not None
    later = Turns(kept.desks, frozenset({WREN}), frozenset(kept.passed))
    again = type(course)(book, kept, ((course._places)[0],), later).begin(face_choices())
    assert again.standing.large == ("next", HERON, "space")


def test_a_desk_whose_microphone_vanished_before_it_sang_does_not_stand_there_as_not_heard(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON)
    face = Script((phase("ready"), "turns"), (next_is(WREN), "go"))

    def unplugged(link, session):
        if face.told.phase == "singing" and face.told.quarters > 1:
            link.vanish()

    rehearsed(tmp_path, course, face, {}, each=unplugged)
    assert "nothing was heard in this turn" in face.told.notice
    assert book.desks(course.rehearsal.key) == ()
    assert not list(places_in(tmp_path).running.glob("*.take"))


def face_choices():
    from trainer.live.choices import Choices
    from trainer.live.desk import Desk

    return Choices(Desk(TENOR), Rig().settings.tempo_qpm)


def test_in_private_a_singer_sees_the_own_bars_and_then_space_drills_them_slowly_against_the_voice_that_drew(
    tmp_path: Path,
) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON)
    face = Script(
        (phase("ready"), "manner"), (lambda state: "Private" in state.notice, "turns"), (next_is(WREN), "go"),
        (lambda state: next_is(HERON)(state) and "Only for you" in state.notice, "pass"), (came_to("bar 3"), "go"),
        (lambda state: state.phase == "singing" and state.standing.who == "tenors", "quit"),
    )  # fmt: skip
    rehearsed(tmp_path, course, face, {WREN: follower()})
    assert not face.cues
    told = [state.notice for state in face.states if "Only for you" in state.notice]
    assert told[0] == "Only for you: bar 3 pulled to the soprano; bar 4 pulled to the soprano; all else held."
    result = next(state for state in face.states if came_to("bar 3")(state))
    assert "Only for you" not in result.notice  # one key took it away
    assert face.told.desk.muted == {1, 3}
    assert face.told.tempo_qpm == 96
    assert [bar.printed for bar in face.told.score.bars().bars] == ["2", "3"]


def test_a_leaders_notes_and_other_bars_are_asked_for_in_words_and_refused_in_one_sentence(tmp_path: Path) -> None:
    course = course_of(book_in(tmp_path))
    now = course.begin(face_choices()).choices
    told = course.told("remark", "3 lean on the B", now)
    assert told.says == "Noted on bar 3."
    assert book_in(tmp_path).notes() == {3: "lean on the B"}
    assert course.told("bars", "3", now).choices.bars == (2, 3)
    assert course.told("bars", "9", now).says == "There is no bar 9; the copies have bars 1 to 4."
    assert course.told("desks", "wren,wren", now).says == "Two desks are called wren."
    assert course.told("why", "3.1", now) is None


def test_of_two_bars_of_one_number_the_rehearsal_says_which_and_takes_which(tmp_path: Path) -> None:
    score = replace(short_score(), printed_bars=("1", "2", "1", "2"))
    book = Book(places_in(tmp_path), score, TENOR, [].append)
    course = course_of(book, WREN)
    now = course.begin(face_choices()).choices
    assert course.told("remark", "1 (2nd) lean (softly)", now).says == "Noted on bar 1 (2nd)."
    assert book.notes() == {3: "lean (softly)"}
    turn = course.told("bars", "2 (2nd)", now)
    assert turn.choices.bars == (3, 4)
    assert (turn.standing.large[0], turn.standing.called) == ("bar 1-2 (2nd)", ("1 (2nd)", "2 (2nd)"))
    weak = SectionBar(3, "1", 3, 1, (("soprano", 2),), ((Sign.PULLED, 2),), ())
    section = Section(score.title, 4, "tenor", 3, (weak,), (Desk(WREN, faulty_take()),))
    assert result_stands(section, Copies(score)).large[0] == "bar 1 (2nd)"
    assert own_words(section, (), Copies(score)) == "Only for you: bar 1 (2nd) pulled to the soprano; all else held."


def test_voices_fall_silent_in_the_hard_bars_and_come_back(tmp_path: Path) -> None:
    course = course_of(book_in(tmp_path))
    course.told("bars", "2-3", face_choices())
    turn = course.asked("fall silent", face_choices())
    assert (turn.choices.bars, turn.choices.silent_bars) == ((1, 4), (2, 3))
    assert course.asked("fall silent", turn.choices).choices.silent_bars is None


def test_silent_bars_are_counted_as_the_bars_chosen_count_them() -> None:
    chosen = replace(face_choices(), bars=(3, 6), silent_bars=(4, 5))
    assert chosen.silent_bars_inside() == (2, 3)
    assert replace(chosen, bars=None).silent_bars_inside() == (4, 5)
    assert (ONE.together, SungBy("key").together, SungBy("key", WREN).together) == (False, True, False)


def test_keys_in_a_turn_that_choose_otherwise_end_it_with_nothing_kept(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON)
    singing = lambda state: state.phase == "singing" and state.standing.who == WREN  # noqa: E731
    face = Script((phase("ready"), "turns"), (next_is(WREN), "go"), (singing, "pass"), (next_is(HERON), "quit"))
    rehearsed(tmp_path, course, face, {WREN: right()})
    assert not face.cues
    assert turns_of(tmp_path, course.rehearsal.key) == []


def test_two_singers_at_once_and_talk_between_turns_lose_nothing_and_stop_nobody(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, WREN, HERON)
    face = Script((phase("ready"), "turns"), (next_is(WREN), "go"), (next_is(HERON), "go"), (all_sung, "quit"))
    laughter = {"laid": 0}

    def talk(link, session):
        # somebody laughs while the next desk gets ready, and through its tuning note
        if face.told.phase in ("done", "tuning note") and laughter["laid"] < 3:
            laughter["laid"] += 1
            at = link.write_until()
            link._microphone[at : at + len(right()) // 3] += right()[: len(right()) // 3][::-1]

    came = rehearsed(tmp_path, course, face, {WREN: right(), HERON: right() + basses()[: len(right())]}, each=talk)
    assert turns_of(tmp_path, course.rehearsal.key) == [WREN, HERON]
    assert len(came.performances) == 2
    wren = next(desk for desk in book.desks(course.rehearsal.key) if desk.label == WREN)
    assert [note.sign.value for note in wren.take.notes] == ["held"] * 4


def test_where_two_sing_different_lines_at_once_the_desk_is_not_judged_and_the_bars_are_told(tmp_path: Path) -> None:
    book = book_in(tmp_path)
    course = course_of(book, HERON, TEAL)
    told_again = lambda state: "Two voices were heard at once. teal once more alone" in state.notice  # noqa: E731
    face = Script(
        (phase("ready"), "turns"),
        (next_is(HERON), "go"),
        (next_is(TEAL), "go"),
        (told_again, "pass"),
        (came_to("all", "held"), "quit"),
    )
    rehearsed(tmp_path, course, face, {HERON: two_at_once(1, 2), TEAL: two_at_once(0, 1, 2, 3)})
    heron = next(desk for desk in book.desks(course.rehearsal.key) if desk.label == HERON)
    assert heron.two_voices == (2, 3)
    assert [note.sign.value for note in heron.take.notes] == ["held", "unsure", "unsure", "held"]
    assert any("Two voices heard in bars 2 to 3 of one desk" in line for line in face.told.standing.small)
