"""The six singers practise: their takes as frames through the real judge, the ladder climbed, the cause named. Little sound, many takes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from heard_frames import Sung, frames
from six_singers import Company, Singer
from written_music import FERRY_BELL

from trainer.ladder.cause import Cause, cause
from trainer.ladder.climb import Climb
from trainer.ladder.rungs import Rung, rungs
from trainer.library import resolve
from trainer.practice.clean import mark
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.takes.judging import judge

PIECE = FERRY_BELL
QPM = 240.0
STARTS_AT_S = 0.5
EXPECTED = {
    "steady": ("nothing", None),
    "follower": ("pulled", "alto"),
    "lender": ("pulled", "alto"),
    "sinker": ("sinking", None),
    "sight-reader": ("lost", None),
    "beginner": ("notes", None),
}
"""By each singer's own rule, on the tenor of this piece: what stands in the way, and whose note it is."""


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
    sung = singer.sing(PIECE, voice, heard, seed=seed, qpm=QPM, starts_at_s=STARTS_AT_S).performance
    stretches = [Sung(note.start_s, note.end_s - 0.02, note.midi) for note in sung]
    length_s = STARTS_AT_S + float(PIECE.end_quarters) * 60 / QPM + 1
    settings = Settings(tempo_qpm=Fraction(QPM), starts_at_s=Fraction(STARTS_AT_S))
    line = PIECE.voices.index(voice)
    return judge(resolve(PIECE.title), [line], frames(stretches, length_s), settings=settings).takes[0]


def climbed(singer: Singer, voice: str, first_seed: int, *, most_takes: int = 60) -> Climb:
    """The ladder from the lowest rung until it ends."""
    found = ladder(voice)
    climb = Climb(len(found))
    for seed in range(first_seed, first_seed + most_takes):
        climb = climb.after(mark(take(singer, voice, company(found[climb.at]), seed)))
        if climb.state != "climbing":
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
