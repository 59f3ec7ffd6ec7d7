"""A session on the pretend link, its clock turned by hand: a face that follows a script, a microphone laid out beforehand."""

from __future__ import annotations

import numpy as np
from live_rig import RATE_HZ, SETTINGS, TENOR, Rig, short_score

from audio.devices.fake import FakeSound
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.session import Session
from trainer.live.wish import Wish

DELAY = Delay(768, "measured", RATE_HZ)


class Script:
    """A face that gives commands when its time has come and remembers every state that differs in phase."""

    def __init__(self, *cues):
        self.cues = list(cues)  # (question of the state, command)
        self.states = []
        self.phases = []
        self.told = None

    def show(self, state):
        self.told = state
        self.states.append(state)
        if not self.phases or self.phases[-1] != state.phase:
            self.phases.append(state.phase)

    def commands(self):
        if self.cues and self.told is not None and self.cues[0][0](self.told):
            return [self.cues.pop(0)[1]]
        return []


def phase(name):
    return lambda state: state.phase == name


def singing_from(quarters):
    return lambda state: state.phase == "singing" and state.quarters >= quarters


def run(face, microphone=None, *, tell=None, places=None, delay=DELAY, until_s=120, each=None, **wish):
    """The session to its end; what it came to, the link, the session."""
    link = FakeSound(
        np.zeros((1, 1), np.float32) if microphone is None else microphone, rate_hz=RATE_HZ, block_frames=480
    )
    desk = wish.pop("desk", Desk(TENOR))
    asked = Wish(
        wish.pop("score", short_score()),
        TENOR,
        wish.pop("settings", SETTINGS),
        desk,
        **{"look_through_seconds": 0, **wish},
    )

    def wait(seconds):
        if each is not None:
            each(link, session)
        link.advance_seconds(seconds)
        assert link.write_until() < until_s * RATE_HZ, f"still {face.told.phase} after {until_s} s"

    session = Session(
        link, asked, delay, face, wait=wait, places=places, tell=(tell if tell is not None else []).append
    )
    return session.run(), link, session


def sung(came_of, **how):
    """A microphone in which the line is sung in every take that the same session without a singer has laid out."""
    laid_at = []

    def each(link, session):
        begun = session._player.begun
        if begun is not None and begun.music_frame not in laid_at:
            laid_at.append(begun.music_frame)

    came_of(each)
    rig = Rig()
    total = np.zeros(max(laid_at) + 8 * RATE_HZ, np.float32)
    once = rig.microphone(how.get("performance", rig.as_written()))
    own = rig.begun().music_frame
    voice = once[own - RATE_HZ // 4 : own + 5 * RATE_HZ]
    for at in laid_at:
        begin = at - RATE_HZ // 4
        total[begin : begin + len(voice)] = voice
    return total
