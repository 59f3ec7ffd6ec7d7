"""The six singers practise: takes through the real judge, as frames or as sound; the ladder climbed, the cause named."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from itertools import count

import numpy as np
from heard_frames import Sung, frames
from simulated_singer import Throat, sing
from six_singers import Company, Singer
from slips import Performance
from written_music import FERRY_BELL

from audio.block import Block
from trainer.ladder.cause import Cause, cause
from trainer.ladder.climb import Climb
from trainer.ladder.rungs import Rung, rungs
from trainer.library import resolve
from trainer.practice.clean import mark
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.takes.judging import judge
from trainer.takes.recording import heard_from

PIECE = FERRY_BELL
QPM = 240.0
STARTS_AT_S = 0.5
RATE_HZ, BLOCK_FRAMES = 24_000, 8_192
MOST_TAKES_A_DAY, MOST_DAYS, DAYS_IN_VAIN = 60, 7, 2
EXPECTED = {
    "steady": ("nothing", None),
    "follower": ("pulled", "alto"),
    "lender": ("pulled", "alto"),
    "sinker": ("sinking", None),
    "sight-reader": ("lost", None),
    "beginner": ("notes", None),
}
"""By each singer's own rule, on the tenor of this piece: what stands in the way, and whose note it is."""


@cache
def ladder(voice: str) -> tuple[Rung, ...]:
    """The rungs for one voice of the piece."""
    score = resolve(PIECE.title)
    return rungs(score, PIECE.voices.index(voice), {})


def company(rung: Rung) -> Company:
    """What the singer hears on a rung."""
    return Company(tuple(PIECE.voices[line] for line in sorted(rung.sounding)), rung.guide)


@cache
def take(singer: Singer, voice: str, heard: Company, seed: int) -> Take:
    """One take, judged as any recording is."""
    sung = singer_sings(singer, voice, heard, seed)
    stretches = [Sung(note.start_s, note.end_s - 0.02, note.midi) for note in sung]
    length_s = STARTS_AT_S + float(PIECE.end_quarters) * 60 / QPM + 1
    settings = Settings(tempo_qpm=Fraction(QPM), starts_at_s=Fraction(STARTS_AT_S))
    line = PIECE.voices.index(voice)
    return judge(resolve(PIECE.title), [line], frames(stretches, length_s), settings=settings).takes[0]


def climbed(singer: Singer, voice: str, first_seed: int) -> Climb:
    """The ladder from the lowest rung, day after day, until it ends: at the top, or after two days running without another rung held."""
    seeds = count(first_seed)
    return climbed_by(voice, lambda heard: mark(take(singer, voice, heard, next(seeds))))


def climbed_by(voice: str, sung: Callable[[Company], str]) -> Climb:
    """As :func:`climbed`, *sung* giving the mark of a take in some company."""
    found = ladder(voice)
    climb = Climb(len(found))
    in_vain = 0
    for _ in range(MOST_DAYS):
        held = climb.held
        climb = climb.next_day()
        for _ in range(MOST_TAKES_A_DAY):
            climb = climb.after(sung(company(found[climb.at])))
            if climb.state != "climbing":
                break
        in_vain = in_vain + 1 if climb.held == held else 0
        if climb.state == "top" or in_vain == DAYS_IN_VAIN:
            break
    return climb


def named(singer: Singer, voice: str, seed: int, *, takes: int = 3) -> Cause:
    """The cause named from a few takes alone and as many against all."""
    everybody = Company(tuple(name for name in PIECE.voices if name != voice))
    return cause(
        [take(singer, voice, Company(), seed + k) for k in range(takes)],
        [take(singer, voice, everybody, seed + 1000 + k) for k in range(takes)],
    )


def clean_shares(singer: Singer, voice: str, seeds: range) -> Iterator[float]:
    """By rung, without the ladder: the share of takes that are clean."""
    for rung in ladder(voice):
        yield sum(mark(take(singer, voice, company(rung), seed)) == "clean" for seed in seeds) / len(seeds)


def singer_sings(singer: Singer, voice: str, heard: Company, seed: int) -> Performance:
    """What one singer does of a line in some company, at this module's tempo."""
    return singer.sing(PIECE, voice, heard, seed=seed, qpm=QPM, starts_at_s=STARTS_AT_S).performance


def judged_sound(sung: Performance, voice: str, seed: int) -> Take:
    """One take as sound, through the program's own tracker and judge."""
    length_s = STARTS_AT_S + float(PIECE.end_quarters) * 60 / QPM + 1
    throat = Throat("men" if voice in ("tenor", "bass") else "women", room_dbfs=-90.0)
    sound = sing(sung, seed=seed, seconds=length_s, throat=throat, rate_hz=RATE_HZ).samples.astype(np.float32)[:, None]
    blocks = (
        Block(sound[at : at + BLOCK_FRAMES].copy(), ("mic1",), at, RATE_HZ) for at in range(0, len(sound), BLOCK_FRAMES)
    )
    settings = Settings(tempo_qpm=Fraction(QPM), starts_at_s=Fraction(STARTS_AT_S))
    line = PIECE.voices.index(voice)
    return judge(resolve(PIECE.title), [line], heard_from(blocks), settings=settings).takes[0]
