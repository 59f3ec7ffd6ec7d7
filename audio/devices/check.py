"""One look at a pair of devices: the room, our own sound in the microphone, and somebody humming.

Facts only; the words are the program's. Nothing is judged while we sound, so our own chirps are never taken for the singer.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from audio.block import Block, Samples
from audio.canceller.path import EchoPath
from audio.devices import microphone
from audio.devices.link import SoundLink
from audio.devices.room_hum import RoomHum, room_hum
from audio.devices.roundtrip import RoundTrip, measure, unmeasured
from audio.devices.swell import learn_room
from audio.errors import DeviceError
from audio.heard import PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from audio.units import RATE_HZ

ROOM_SECONDS = 1.2
ENOUGH_SECONDS = 0.7
"""So much of a note, and somebody was heard."""

STEADY_CENTS = 60
"""Nine tenths of a hummed note within so much is steady; vibrato of the usual extent is."""

SAME_HUM_CENTS = 60
"""A note this near to what the room hums by itself is the room's own, unless it is clearly louder."""

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Hummed:
    """What somebody sang.

    Parameters
    ----------
    pitch_c100 : int
    steady : bool
    level_dbfs : float
    seconds : float
    """

    pitch_c100: int
    steady: bool
    level_dbfs: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Checked:
    """All facts of one check.

    Parameters
    ----------
    only_zeros : bool
        The microphone gave nothing but exact zeros from beginning to end.
    call_rate_hz : int or None
        The telephone's rate that its sound has gone through.
    room_dbfs : float
        Level of the room with nobody singing.
    round_trip : RoundTrip
    moving : str
        Why the round trip could not be measured though our own sound was heard; "".
    hummed : Hummed or None
    near_the_room : bool
        What was hummed is less than 12 dB above the room.
    lost_frames : int
    xruns : int
    room : EchoPath or None
        Our own sound's way into the microphone, where it could be learnt.
    hum : RoomHum or None
        What the room hums by itself.
    """

    only_zeros: bool
    call_rate_hz: int | None
    room_dbfs: float
    round_trip: RoundTrip
    moving: str
    hummed: Hummed | None
    near_the_room: bool
    lost_frames: int
    xruns: int
    room: EchoPath | None = None
    hum: RoomHum | None = None


def check(
    link: SoundLink,
    *,
    listen_seconds: float = 5.0,
    tell: Tell = lambda _: None,
    wait: Callable[[float], None] = time.sleep,
) -> Checked:
    """Listen to the room, play and listen, listen to the singer; three to thirteen seconds.

    Parameters
    ----------
    link : SoundLink
        With a microphone.
    listen_seconds : float
        Longest wait for somebody to hum; 0 leaves that out.
    tell : function of a word
        Called with "room", "chirps", "wave" and "hum" as each begins.
    wait : function of seconds

    Raises
    ------
    DeviceError
        When the device vanishes.
    """
    tell("room")
    room = _heard_for(link, ROOM_SECONDS, wait)
    round_trip, moving, chirped = unmeasured(link), "", False
    if link.channels_out:
        tell("chirps")
        try:
            found = measure(link, wait)
        except DeviceError as err:
            if not link.alive:
                raise
            moving, chirped = err.what, True
        else:
            round_trip, chirped = found or unmeasured(link), found is not None
    learnt = None
    if chirped and not moving:
        tell("wave")
        learnt = learn_room(link, wait)
    hummed, silent_too = None, True
    if listen_seconds > 0:
        tell("hum")
        hummed, silent_too = _hummed(link, room, listen_seconds, wait)
    samples = _loudest(room, link.channels_in)
    room_dbfs = (
        float(np.median(microphone.levels_dbfs(samples, link.rate_hz))) if len(samples) else microphone.FLOOR_DBFS
    )
    flags = link.flags()
    return Checked(
        microphone.only_zeros(samples) and silent_too and not chirped,
        microphone.call_rate_hz(samples, link.rate_hz),
        room_dbfs,
        round_trip,
        moving,
        hummed,
        hummed is not None and hummed.level_dbfs < room_dbfs + microphone.CLEAR_DB,
        flags.lost_frames,
        flags.xruns,
        learnt,
        room_hum(samples, link.rate_hz),
    )


def _heard_for(link: SoundLink, seconds: float, wait: Callable[[float], None]) -> list[Block]:
    """Blocks of so many seconds from now on."""
    link.read()
    blocks: list[Block] = []
    while sum(len(block.samples) for block in blocks) < seconds * link.rate_hz:
        wait(0.02)
        blocks += link.read()
        if not link.alive:
            raise DeviceError(link.trouble, link.input_name, "plug it in again and repeat")
    return blocks


def _loudest(blocks: Sequence[Block], channels_in: int) -> Samples:
    """The loudest microphone's samples, shape (n,)."""
    rows = [
        np.concatenate([block.channel(f"mic{number + 1}") for block in blocks]) if blocks else np.zeros(0, np.float32)
        for number in range(channels_in)
    ]
    return max(rows, key=lambda samples: float(np.square(samples).sum()))


def _hummed(
    link: SoundLink, room: Sequence[Block], seconds: float, wait: Callable[[float], None]
) -> tuple[Hummed | None, bool]:
    """What was sung, and whether the microphone gave only zeros meanwhile. Ends as soon as enough was heard."""
    room_frames = _voiced(room)
    link.read()
    blocks: list[Block] = []
    tracker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER](line=0, channel="mic1")
    frames: list[PitchFrame] = []
    enough = round(ENOUGH_SECONDS * RATE_HZ / tracker.hop_frames)
    while sum(len(block.samples) for block in blocks) < seconds * link.rate_hz:
        wait(0.02)
        for block in link.read():
            blocks.append(block)
            frames += [one for one in tracker.feed(block) if isinstance(one, PitchFrame) and one.voiced]
        if not link.alive:
            raise DeviceError(link.trouble, link.input_name, "plug it in again and repeat")
        frames = [one for one in frames if not _is_the_rooms(one, room_frames)]
        if len(frames) >= enough:
            break
    silent = all(microphone.only_zeros(block.channel("mic1")) for block in blocks)
    if len(frames) < enough:
        return None, silent
    pitches = np.array([one.f0_c100 for one in frames])
    low, high = np.percentile(pitches, [5, 95])
    level = float(np.percentile([one.level_db10 for one in frames], 75)) / 10
    heard = Hummed(
        int(np.median(pitches)),
        bool(high - low <= STEADY_CENTS * 100),
        level,
        len(frames) * tracker.hop_frames / RATE_HZ,
    )
    return heard, silent


def _voiced(blocks: Sequence[Block]) -> list[PitchFrame]:
    tracker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER](line=0, channel="mic1")
    found = [one for block in blocks for one in tracker.feed(block)] + tracker.flush()
    return [one for one in found if isinstance(one, PitchFrame) and one.voiced]


def _is_the_rooms(frame: PitchFrame, room: Sequence[PitchFrame]) -> bool:
    """Whether the room hums this by itself."""
    if not room:
        return False
    near = abs(float(np.median([one.f0_c100 for one in room])) - frame.f0_c100) < SAME_HUM_CENTS * 100
    return bool(near and frame.level_db10 < max(one.level_db10 for one in room) + 60)
