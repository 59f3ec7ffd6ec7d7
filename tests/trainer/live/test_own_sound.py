"""Our own loudspeaker in a live take: on the pretend link, with a loudspeaker that comes back through the microphone."""

from __future__ import annotations

import numpy as np
from live_rig import Rig, hear

from audio.canceller._filter import TAPS
from audio.canceller.path import EchoPath
from audio.devices.fake import Loopback
from trainer.live.own_sound import OwnSound

LOOPBACK = Loopback(1_440, 0.5)
NOT_SUNG = {"silent", "unsure", "rest"}


def path() -> EchoPath:
    """What soundcheck would have learnt of this loopback, 30 ms and half as loud."""
    taps = np.zeros(TAPS, np.float32)
    taps[48] = 0.5
    return EchoPath(taps, 720 - 48, 0.0, -25.0)


def rig() -> Rig:
    return Rig(loopback=LOOPBACK)


def test_a_right_singer_is_held_beside_a_loudspeaker_that_alone_would_hide_her():
    stage = rig()
    sung = stage.microphone(stage.as_written()) * 0.3
    own = OwnSound(path())
    assert hear(stage, sung, own=own).signs == ["held"] * 4
    assert "was taken away" in own.words()


def test_a_shut_mouth_beside_a_loudspeaker_is_nobody():
    stage = rig()
    noise = (
        np.random.default_rng(3).standard_normal(len(stage.microphone(stage.as_written()))).astype(np.float32) * 1e-3
    )
    heard = hear(stage, noise, own=OwnSound(path()))
    assert heard.performance.takes[0].status == "nothing heard"
    assert {beat.sign.value for beat in heard.performance.takes[0].beats} <= NOT_SUNG


def test_headphones_put_on_since_soundcheck_leave_the_take_as_it_was():
    stage = Rig()
    sung = stage.microphone(stage.as_written())
    own = OwnSound(path())
    assert hear(stage, sung, own=own).signs == ["held"] * 4
    assert own.words() == ""
