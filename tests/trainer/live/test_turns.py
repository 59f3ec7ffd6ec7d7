"""Turns without headphones: bars are heard, then sung while nothing sounds, so that a loudspeaker never judges itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from kept_takes import judged
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score

from audio.devices.fake import FakeSound, Loopback
from trainer.library import resolve
from trainer.live.choices import Choices
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.session import Session
from trainer.live.turns import TurnsCourse, stretches
from trainer.live.wish import Wish
from trainer.practice.signs import Sign
from trainer.practice.take import Performance
from trainer.score.change import cut


class Watcher:
    """A face that writes down which phase each frame belongs to, and gives commands at its cues."""

    def __init__(self, link, *cues):
        self.link, self.cues, self.phases, self.notices, self.state = link, list(cues), [], [], None

    def show(self, state):
        self.state = state
        self.notices.append(state.notice)
        if not self.phases or self.phases[-1][0] != state.phase:
            self.phases.append((state.phase, self.link.write_until()))

    def commands(self):
        if self.cues and self.state is not None and self.cues[0][0](self.state):
            return [self.cues.pop(0)[1]]
        return []

    def spans(self, wanted):
        ends = [frame for _, frame in self.phases[1:]] + [self.link.write_until()]
        return [(frame, end) for (phase, frame), end in zip(self.phases, ends, strict=True) if phase == wanted]


def sung_in_turns(length=2, *cues, loopback=None, rounds="one"):
    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ, block_frames=480, loopback=loopback)
    score = short_score()
    face = Watcher(link, *cues)
    wish = Wish(
        score, TENOR, SETTINGS, Desk(TENOR), look_through_seconds=0, rounds=rounds,
        course=TurnsCourse(stretches(score, None, length), 4, score.bars()),
    )  # fmt: skip
    delay = Delay(768, "measured", RATE_HZ)
    session = Session(link, wish, delay, face, wait=link.advance_seconds, places=None, tell=print)
    return session.run(), face, link


@pytest.mark.parametrize(
    ("bars", "length", "found"),
    [
        (None, 4, ((1, 4),)),
        (None, 2, ((1, 2), (3, 4))),
        (None, 3, ((1, 4),)),  # a bar left over goes with those before it
        (None, 1, ((1, 1), (2, 2), (3, 3), (4, 4))),
        ((2, 4), 2, ((2, 4),)),
        ((2, 3), 1, ((2, 2), (3, 3))),
    ],
)
def test_the_piece_is_cut_into_stretches(bars, length, found):
    assert stretches(short_score(), bars, length) == found


def test_bars_are_heard_with_the_own_line_and_nothing_sounds_while_they_are_sung():
    _, face, link = sung_in_turns()
    (heard,), (sung,) = face.spans("listening"), face.spans("singing")
    left = np.abs(link.left()).max(axis=1)
    assert left[heard[0] : heard[1]].max() > 0.01
    quarter = RATE_HZ // 8  # the last click of the count rings a moment
    assert left[sung[0] + quarter : sung[1]].max() == 0.0
    assert face.spans("count-in")[0][0] > heard[1]


def test_a_loudspeaker_that_is_heard_judges_nothing():
    came, face, _ = sung_in_turns(loopback=Loopback(768, 1.0))
    assert [one.takes[0].status for one in came.performances] == ["nothing heard"]
    assert face.state.notice.startswith("Nobody is heard")


def test_the_start_key_goes_from_hearing_to_singing():
    _, whole, _ = sung_in_turns()
    _, short, _ = sung_in_turns(2, (lambda state: state.phase == "listening" and (state.quarters or 0) > 1, "go"))
    (first,), (second,) = whole.spans("listening"), short.spans("listening")
    assert second[1] - second[0] < first[1] - first[0]
    assert short.spans("singing")


def test_stretch_follows_stretch_and_the_whole_is_counted():
    ferry = resolve("Ferry Bell at Low Water")
    course = TurnsCourse(((1, 4), (5, 11)), 4, ferry.bars())
    begun = course.begin(Choices(Desk(TENOR), SETTINGS.tempo_qpm))
    assert (begun.choices.bars, begun.choices.heard_first, begun.then) == ((1, 4), "yes", "again")
    assert begun.choices.beside(4).sounding == ()
    first = course.after(sung(cut(ferry, 1, 4), 1), begun.choices)
    assert (first.choices.bars, first.then) == ((5, 11), "again")
    last = course.after(sung(cut(ferry, 5, 11)), first.choices)
    assert last.then == "ask"
    assert last.says.startswith("In turns: 10 of 11 notes held.")
    assert last.choices.bars == (1, 4)
    assert course.jump(1, last.choices).says == "Bars 5 to 11."


def test_a_stretch_that_was_stopped_waits_for_what_is_wanted():
    ferry = resolve("Ferry Bell at Low Water")
    course = TurnsCourse(((1, 4), (5, 11)), 4, ferry.bars())
    begun = course.begin(Choices(Desk(TENOR), SETTINGS.tempo_qpm))
    turn = course.after(sung(cut(ferry, 1, 4), status="incomplete"), begun.choices)
    assert (turn.choices.bars, turn.then) == ((1, 4), "ask")


def sung(score, *wrong, status="heard"):
    made = judged(score, TENOR, dict.fromkeys(wrong, Sign.OFF))
    return Performance((replace(made, status=status),))
