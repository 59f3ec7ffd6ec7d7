"""The sound of a pretend take, block after block in time order; nothing is rendered before it is wanted."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import tee

import numpy as np

from audio.block import Block, Samples
from audio.render import Rendering
from audio.room import Room, quiet_room, through_room
from audio.singer import laid_out, sing
from audio.units import RATE_HZ
from trainer.demo.script import Performance, SingerScript
from trainer.practice.settings import Settings
from trainer.practice.sinking import references_under
from trainer.practice.timemap import fixed_time
from trainer.score.model import Score
from trainer.score.time import TempoMap
from trainer.voices.tones import frame_at, tones

BLOCK_FRAMES = 2_048
ROOM_DBFS = -66.0
"""A quiet room with a refrigerator at a laptop's microphone; our own guess, no source."""

TAIL_SECONDS = Fraction(1)


def sung_blocks(
    score: Score,
    line_index: int,
    script: SingerScript,
    settings: Settings,
    *,
    rate_hz: int = RATE_HZ,
    room_dbfs: float = ROOM_DBFS,
) -> Iterator[Block]:
    """One line sung into one microphone ("mic1"), the others heard over headphones only.

    Parameters
    ----------
    score : Score
    line_index : int
    script : SingerScript
    settings : Settings
        Its tempo, ``starts_at_s``, A4 and reference are what the singer follows; the script says how far she strays.
    rate_hz : int
    room_dbfs : float
        Level of the room by itself.
    """
    tempo = _tempo(score, settings)
    performance = Performance(
        score,
        line_index,
        references_under(score, settings),
        fixed_time(tempo, first_full_quarters=score.bars().first_full_quarters, starts_at_s=settings.starts_at_s),
        settings.a4_offset_c100,
    )
    pieces = sing(performance.utterances(script, rate_hz), script.throat, rate_hz)
    length = _length_frames(score, settings, rate_hz)
    at = 0
    for voice in laid_out(pieces, length, BLOCK_FRAMES):
        room = quiet_room(at, len(voice), level_dbfs=room_dbfs, rate_hz=rate_hz, seed=script.throat.seed + 1)
        yield Block((voice + room).reshape(-1, 1), ("mic1",), at, rate_hz)
        at += len(voice)


def loudspeaker_blocks(
    score: Score,
    which: tuple[int, ...],
    settings: Settings,
    *,
    room: Room | None = None,
    rate_hz: int = RATE_HZ,
    room_dbfs: float = ROOM_DBFS,
) -> Iterator[Block]:
    """Nobody sings: our own voices leave a loudspeaker and come back through a small room.

    Channels: "mic1" is what the microphone hears, "played1" what left the loudspeaker.
    """
    tempo = _tempo(score, settings)
    zero = settings.starts_at_s - tempo.seconds(score.bars().first_full_quarters)
    sounded = references_under(score, settings)
    at = frame_at(tempo, rate_hz=rate_hz, zero_frame=round(zero * rate_hz))
    rendering = Rendering(tones(score, sounded, at, which=which), rate_hz=rate_hz)
    length = _length_frames(score, settings, rate_hz)
    begins = list(range(0, length, BLOCK_FRAMES))

    def played() -> Iterator[Samples]:
        for begin in begins:
            yield rendering.mix(begin, min(begin + BLOCK_FRAMES, length)).mean(axis=1, dtype=np.float32)

    sent, to_room = tee(played())
    for begin, heard, left in zip(begins, through_room(to_room, room or Room(), rate_hz), sent, strict=True):
        quiet = quiet_room(begin, len(heard), level_dbfs=room_dbfs, rate_hz=rate_hz, seed=9)
        yield Block(np.stack((heard + quiet, left), axis=1), ("mic1", "played1"), begin, rate_hz)


def _tempo(score: Score, settings: Settings) -> TempoMap:
    return score.tempo if settings.tempo_qpm is None else score.tempo.scaled_to(settings.tempo_qpm)


def _length_frames(score: Score, settings: Settings, rate_hz: int) -> int:
    tempo, bars = _tempo(score, settings), score.bars()
    music = tempo.seconds(bars.end_quarters) - tempo.seconds(bars.first_full_quarters)
    return round((settings.starts_at_s + music + TAIL_SECONDS) * rate_hz)
