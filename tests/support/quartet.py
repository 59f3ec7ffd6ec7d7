"""A quartet one to a part: four simulated singers, each at a microphone that hears the others too, with faults planted in some.

Made of ``simulated_singer`` and ``planted_takes``, which share no code with the program. Everything comes from the seed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import slips
from made_up_music import made_up
from planted_takes import SEX, STARTS_AT_S, VOICES, _Planting
from rooms import in_room, pink
from simulated_singer import Sound, Throat, sing
from written_music import Piece

RATE_HZ = 48_000
KINDS = ("off", "flat", "sharp", "pulled", "silent", "late", "left early", "random")
SPEED_OF_SOUND = 343.0
ROOM_DBFS = -66.0


@dataclass(frozen=True, slots=True)
class Quartet:
    """Who sings what, which notes are wrong on purpose, and how far under its own singer each microphone hears each neighbour.

    ``faults`` maps a voice to its wrong notes with their kinds; ``absent`` are voices that do not sing at all.
    """

    seed: int
    piece: Piece
    qpm: float
    sung: Mapping[str, slips.Performance]
    faults: Mapping[str, Mapping[int, str]]
    pulled_to: Mapping[str, Mapping[int, str]]
    absent: tuple[str, ...]
    bleed_db: float
    rt60_s: float
    level_dbfs: Mapping[str, float]
    throats: Mapping[str, Throat]


def plan_quartet(seed: int, *, bleed_db: float | None = None, faults: int = 2, absent: int | None = None) -> Quartet:
    """The quartet of one seed: *faults* in every voice that sings; in one of four a voice is *absent* where that is not said."""
    rng = np.random.default_rng(seed)
    piece, qpm = made_up(rng), float(rng.choice([60, 72, 84, 96]))
    missing = (1 if rng.random() < 0.25 else 0) if absent is None else absent
    silent = tuple(str(v) for v in rng.choice(VOICES, missing, replace=False))
    sung, wrong, pulled, throats, levels = {}, {}, {}, {}, {}
    for voice in VOICES:
        written = slips.as_written(piece, voice, qpm=qpm, starts_at_s=STARTS_AT_S)
        planting = _Planting(written, piece, voice, rng, 0)
        for kind in rng.permutation(KINDS):
            if len(planting.wrong) < faults:
                planting.plant(str(kind))
        sung[voice], wrong[voice], pulled[voice] = planting.performance(), planting.wrong, planting.pulled_to
        throats[voice] = Throat(
            SEX[voice],
            vowels=str(rng.choice(["a", "ao", "aeo"])),
            vibrato_cents=float(rng.choice([0, 10, 25, 45])),
            vibrato_hz=float(rng.uniform(4.8, 6.2)),
            scatter_cents=4.0,
            room_dbfs=-90.0,
            legato=float(rng.uniform(0, 0.6)),
        )
        levels[voice] = float(rng.uniform(-28, -22))
    return Quartet(
        seed,
        piece,
        qpm,
        sung,
        {v: {} if v in silent else wrong[v] for v in VOICES},
        {v: {} if v in silent else pulled[v] for v in VOICES},
        silent,
        float(rng.uniform(15, 25)) if bleed_db is None else bleed_db,
        float(rng.choice([0.2, 0.4, 0.8])),
        levels,
        throats,
    )


def microphones(quartet: Quartet) -> tuple[Sound, dict[str, dict[int, float]]]:
    """Sound of the microphones, shape (n, 4) from the soprano's down, and the true pitch of every note of every voice."""
    seconds = slips.whole_s(quartet.piece, qpm=quartet.qpm, starts_at_s=STARTS_AT_S)
    sounds: list[Sound | None] = []
    truth: dict[str, dict[int, float]] = {}
    for k, voice in enumerate(VOICES):
        if voice in quartet.absent:
            sounds.append(None)
            continue
        take = sing(
            quartet.sung[voice],
            seed=quartet.seed * 10 + k,
            seconds=seconds,
            throat=quartet.throats[voice],
            level_dbfs=quartet.level_dbfs[voice],
        )
        truth[voice] = take.true_midi
        sounds.append(take.samples)
    return side_by_side(sounds, seed=quartet.seed, bleed_db=quartet.bleed_db, rt60_s=quartet.rt60_s), truth


def side_by_side(sounds: Sequence[Sound | None], *, seed: int, bleed_db: float, rt60_s: float) -> Sound:
    """What a microphone an arm's length from each singer hears, shape (n, singers); None sings nothing."""
    rng = np.random.default_rng(seed + 5)
    frames = max(len(sound) for sound in sounds if sound is not None)
    heard = np.zeros((frames, len(sounds)))
    for k, sound in enumerate(sounds):
        if sound is None:
            continue
        for m in range(len(sounds)):
            if m == k:
                heard[:, m] += in_room(sound, RATE_HZ, seed=k, rt60_s=rt60_s, direct_to_reverb_db=14.0)
                continue
            away_m = 0.8 + 0.6 * abs(m - k) + float(rng.uniform(0, 0.5))
            # farther than an arm's length the room is as loud as the singer
            across = in_room(sound, RATE_HZ, seed=100 + 4 * k + m, rt60_s=rt60_s, direct_to_reverb_db=0.0)
            late = round(away_m / SPEED_OF_SOUND * RATE_HZ)
            under = bleed_db + float(rng.uniform(-1.5, 1.5)) + 3.0  # the room adds as much as the way straight
            heard[late:, m] += across[: frames - late] * 10 ** (-under / 20)
    for m in range(len(sounds)):
        heard[:, m] += pink(frames, RATE_HZ, seed=seed + 30 + m, dbfs=ROOM_DBFS)
    return np.clip(heard, -1, 1)
