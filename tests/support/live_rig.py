"""A live take without devices: the pretend link under its hand clock, a player, and a singer laid where the music will be."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
import simulated_singer
import slips
import soxr
from numpy.typing import NDArray

from audio.devices.fake import FakeSound, Flaw, Loopback
from trainer.formats._drill_read import read
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.keep import run_take
from trainer.live.places_in_time import Begun
from trainer.live.player import Player
from trainer.live.stems import Stems
from trainer.live.take import LiveTake, laid
from trainer.practice.beside import UNKNOWN
from trainer.practice.settings import Settings
from trainer.practice.take import BeatVerdict, Performance

RATE_HZ = 48_000
SHORT = """\
title: Short Ferry
meter: 2/4
mode: B dorian
tempo: 120

soprano | B4  | F# | G# | A  |
alto    | B3  | C# | E  | F# |
tenor   | F#3 | A  | B  | C# |
bass    | B2  | A  | G# | F# |
"""
TENOR = 2
SETTINGS = Settings(tempo_qpm=Fraction(120))
Sound = NDArray[np.float32]


def short_score():
    return read(SHORT.encode(), "short.drill")


@dataclass
class Rig:
    """One take on the pretend link; ``sung`` lays a performance, in seconds of the music, on the microphone."""

    score: object = field(default_factory=short_score)
    line_index: int = TENOR
    settings: Settings = SETTINGS
    desk: Desk = field(default_factory=lambda: Desk(TENOR))
    delay: Delay = field(default_factory=lambda: Delay(768, "measured", RATE_HZ))
    count_in_bars: int = 1
    octaves: int = 0
    loopback: Loopback | None = None
    flaws: dict[int, Flaw] | None = None
    pitch: str = "none"
    block_frames: int = 256
    rate_hz: int = RATE_HZ

    def begun(self) -> Begun:
        """Where the take will lie, told by a rehearsal without a microphone."""
        return self.link_and_player(np.zeros((1, 1), np.float32))[2]

    def link_and_player(self, microphone: Sound) -> tuple[FakeSound, Player, Begun]:
        link = FakeSound(
            microphone,
            rate_hz=self.rate_hz,
            block_frames=self.block_frames,
            loopback=self.loopback,
            flaws=self.flaws,
        )
        player = Player(Stems(self.score, self.line_index, self.settings, self.octaves, self.rate_hz), self.desk)
        player.write(link)
        return link, player, player.begin(count_in_bars=self.count_in_bars, pitch=self.pitch)

    def as_written(self) -> slips.Performance:
        """The line sung exactly; seconds from quarter 0."""
        second = 60 / float(self.settings.tempo_qpm or self.score.tempo.points[0][1])
        return tuple(
            slips.SungNote(
                k, float(note.onset_quarters) * second, float(note.end_quarters) * second, float(note.pitch.midi)
            )
            for k, note in enumerate(self.score.lines[self.line_index].notes)
        )

    def microphone(self, sung: slips.Performance, *, seed: int = 13, after_s: float = 1.0) -> Sound:
        """What the microphone hears of it, in a quiet room."""
        begun = self.begun()
        at = (begun.music_frame + self.delay.frames) / self.rate_hz
        moved = tuple(slips.SungNote(n.index, n.start_s + at, n.end_s + at, n.midi, n.scoop_cents) for n in sung)
        seconds = begun.end_frame / self.rate_hz + after_s
        sung = simulated_singer.sing(moved, seed=seed, seconds=seconds, throat=simulated_singer.Throat("men"))
        return np.asarray(soxr.resample(sung.samples, RATE_HZ, self.rate_hz), np.float32)


@dataclass
class Heard:
    """How a live take went."""

    performance: Performance
    beats: list[BeatVerdict]
    at_frames: list[int]
    take: LiveTake
    where: object
    link: FakeSound
    number: int | None

    @property
    def signs(self) -> list[str]:
        return [note.sign.value for note in self.performance.takes[0].notes]


def hear(
    rig: Rig, microphone: Sound, *, between=None, places=None, step_frames: int = 960, told=None, own=None
) -> Heard:
    """The take from its beginning to its end; *between(link, player, take)* is called between two reads."""
    link, player, begun = rig.link_and_player(microphone)
    where = laid(begun, player, rig.delay, rig.settings)
    beats: list[BeatVerdict] = []
    at_frames: list[int] = []

    def step() -> None:
        if between is not None:
            between(link, player, take)
        link.advance(step_frames)

    def over(event) -> None:
        beats.append(event.verdict)
        at_frames.append(event.at_frame)

    take = LiveTake(link, player, where, step, own=own)
    take.hearing.keeping = True
    performance, end = run_take(
        take,
        where,
        rig.score,
        (rig.line_index,),
        places=places,
        tell=(told if told is not None else []).append,
        listen=over,
        beside=lambda: UNKNOWN,
    )
    return Heard(performance, beats, at_frames, take, where, link, end())
