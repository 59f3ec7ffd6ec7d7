"""After a take one key lets the singer hear the worst bar: as it was sung, the right one, both; and whatever can be in the way of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from live_rig import RATE_HZ, TENOR, Rig
from session_rig import Script, phase, run, sung

from trainer.live.again import NOTHING, UNHEARD, worst_bar
from trainer.live.desk import Desk
from trainer.practice.signs import Sign
from trainer.practice.take import Performance

WRONG_MIDI, RIGHT_MIDI = 62.0, 59.0
"""D4 sung for the B3 of bar 3."""

LISTENING = "Bar 3: first as you sang it, after 2 and 4 s the right bar and both at once."


def in_bar_3(midi: float):
    return tuple(replace(note, midi=midi) if note.index == 2 else note for note in Rig().as_written())


def empty(each):
    run(Script((phase("done"), "quit")), each=each, rounds="asked")


@pytest.fixture(scope="module")
def wrong_in_bar_3():
    return sung(empty, performance=in_bar_3(WRONG_MIDI))


class After(Script):
    """A face that gives commands so many looks after the take is over, and remembers the frames at which it looked."""

    def __init__(self, **by_look):
        super().__init__()
        self.by_look = {int(name.removeprefix("at_")): command for name, command in by_look.items()}
        self.frames = []

    def commands(self):
        if self.told is None or self.told.phase != "done":
            return []
        command = self.by_look.get(len(self.frames))
        self.frames.append(None)
        return [] if command is None else [command]


def after(microphone, **cues):
    """What left after the take, from its first look on, shape (frames,), the face, the session."""
    wish = {name: cues.pop(name) for name in ("desk",) if name in cues}
    face, over = After(**cues), []

    def each(link, _):
        if face.told is not None and face.told.phase == "done" and not over:
            over.append(link.write_until())

    _, link, session = run(face, microphone, each=each, rounds="asked", **wish)
    return link.left()[over[0] :, 0], face, session


def power(sound, midi: float) -> float:
    """How strong the fundamental of a key is in a piece of sound."""
    hertz = 440 * 2 ** ((midi - 69) / 12)
    turn = np.exp(-2j * np.pi * hertz * np.arange(len(sound)) / RATE_HZ) * np.hanning(len(sound))
    return float(abs(np.dot(sound, turn)) ** 2)


def test_the_worst_bar_sounds_as_it_was_sung_then_right_then_both(wrong_in_bar_3):
    out, face, _ = after(wrong_in_bar_3, at_1="listen", at_300="quit")
    assert face.told.notice == LISTENING
    heard = [out[round(at * RATE_HZ) :][: RATE_HZ // 2] for at in (0.4, 2.2, 4.0)]
    wrong, right, both = ([power(part, midi) for midi in (WRONG_MIDI, RIGHT_MIDI)] for part in heard)
    assert wrong[0] > 100 * wrong[1]
    assert right[1] > 100 * right[0]
    assert 0.1 < both[0] / both[1] < 10


def test_asked_again_while_it_sounds_it_ends(wrong_in_bar_3):
    out, face, _ = after(wrong_in_bar_3, at_1="listen", at_40="listen", at_120="quit")
    assert face.told.notice == ""
    assert np.abs(out[RATE_HZ // 5 : RATE_HZ // 2]).max() > 0.01
    assert not out[round(1.5 * RATE_HZ) :].any()


def test_a_session_without_sound_says_that_it_has_none(wrong_in_bar_3):
    out, face, _ = after(wrong_in_bar_3, desk=Desk(TENOR, sounding="silent"), at_1="listen", at_60="quit")
    assert face.told.notice == UNHEARD
    assert not out.any()


def test_where_there_is_nothing_to_hear_it_says_so_and_it_is_as_long_at_another_rate(wrong_in_bar_3):
    _, _, session = after(wrong_in_bar_3, at_1="quit")
    attempt, performance = session._replay._heard, session._came.performances[0]
    lengths = [worst_bar(attempt, performance, rate)[1].length_frames / rate for rate in (48_000, 44_100)]
    assert lengths[0] == pytest.approx(lengths[1], abs=1e-3)
    (take,) = performance.takes
    called = replace(take, notes=tuple(replace(note, printed_bar=str(note.bar + 4)) for note in take.notes))
    told, _ = worst_bar(attempt, Performance((called,)), RATE_HZ)
    assert told.startswith("Bar 3 (printed 7): first as")
    held = replace(take, notes=tuple(replace(note, signs=(Sign.HELD,)) for note in take.notes))
    assert worst_bar(attempt, Performance((held,)), RATE_HZ) == (NOTHING, None)
    nobody = replace(take, status="nothing heard")
    assert worst_bar(attempt, Performance((nobody,)), RATE_HZ) == ("nothing was heard in this take", None)
    told, sound = worst_bar(replace(attempt, heard=()), performance, RATE_HZ)
    assert (told, sound) == ("bar 3 is the worst, and nothing was heard in it", None)
