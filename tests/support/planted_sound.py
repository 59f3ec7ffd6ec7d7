"""The sound of a planted take as a microphone gives it, and the take through the public command."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import slips
from behind_loudspeaker import NOISE_DBFS, heard_behind, learnt_in, sounded
from loudspeaker_room import Setup, level_db, soft_noise
from numpy.typing import NDArray
from planted_takes import BLEED, PINK, STARTS_AT_S, Planted
from rooms import TELEPHONE_HZ, at_rate, in_room, level_dbfs, mains, mixed, pink, through_telephone
from simulated_singer import sing

from audio.heard import Gap, PitchFrame
from trainer.practice.settings import Settings
from trainer.score.model import Score

Sound = NDArray[np.float64]
RATE_HZ = 48_000
RATE_IN_HZ = 24_000
PINK_UNDER_DB = 10.0
MAINS_DBFS = -45.0


def judged_take(planted: Planted, scratch: Path) -> tuple[dict[str, Any], dict[int, float]]:
    """The take through the public command, and the true pitch of every note; beside a loudspeaker as a live take is judged."""
    from heldline_command import heldline, save
    from written_music import write_musicxml

    score = write_musicxml(planted.piece, scratch / "piece.musicxml")
    sound, truth = sung_sound(planted)
    if planted.condition == BLEED:
        return _judged_beside_a_loudspeaker(planted, score, sound), truth
    words: list[object] = ["sing", score, "--voice", planted.voice, "--tempo", f"{planted.qpm:g}"]
    words += ["--starts-at", STARTS_AT_S, "--no-log", "--input", scratch / "take.wav"]
    sound, rate_hz = as_recorded(planted, sound)
    save(scratch / "take.wav", np.clip(sound, -1, 1), rate_hz)
    done = heldline(*words, "--json")
    # a singer in noise who is taken for nobody is no crash: every note counts as unsure, and so as missed
    assert done.status in (0, 5), f"status {done.status}: {done.err}"
    return done.table, truth


def _judged_beside_a_loudspeaker(planted: Planted, place: Path, sound: Sound) -> dict[str, Any]:
    from trainer.formats import read_path
    from trainer.reports.as_json import to_json
    from trainer.takes.judging import judge

    score = read_path(place)
    line = score.voice_names().index(planted.voice)
    settings = Settings(tempo_qpm=Fraction(f"{planted.qpm:g}"), starts_at_s=Fraction(STARTS_AT_S))
    frames = heard_beside_a_loudspeaker(planted, score, line, settings, sound)
    return to_json(judge(score, (line,), frames, settings=settings).takes[0])


def heard_beside_a_loudspeaker(
    planted: Planted, score: Score, line: int, settings: Settings, sound: Sound
) -> Iterator[PitchFrame | Gap]:
    """What the tracker hears of the singer beside our loudspeaker, which is as loud as the whole of the singing."""
    which = tuple(k for k in range(len(score.lines)) if planted.guide or k != line)
    played = sounded(score, which, settings)
    rng = np.random.default_rng(planted.seed + 77)
    room = Setup(
        RATE_IN_HZ,
        seed=planted.seed,
        rt60_s=planted.room[0],
        delay_s=float(rng.uniform(0.02, 0.15)),
        direct_db=float(rng.uniform(0, 8)),
    )
    sung = at_rate(sound, RATE_HZ, RATE_IN_HZ)
    echo = np.zeros(max(len(played), len(sung)))
    echo[: len(played)] = room.at_microphone(played)
    louder = 10 ** ((level_db(sung) - level_db(echo)) / 20)
    played = np.concatenate([played, np.zeros(len(echo) - len(played))]) * louder
    heard = echo * louder + soft_noise(len(echo), RATE_IN_HZ, seed=planted.seed, dbfs=NOISE_DBFS)
    heard[: len(sung)] += sung
    return heard_behind(learnt_in(room), heard, played, entry_frame=round(STARTS_AT_S * RATE_IN_HZ))


def as_recorded(planted: Planted, sound: Sound) -> tuple[Sound, int]:
    """What else the microphone hears and what the line makes of it: samples and their rate."""
    match planted.condition:
        case condition if condition == PINK:
            noise = pink(len(sound), RATE_HZ, seed=planted.seed + 7, dbfs=level_dbfs(sound) - PINK_UNDER_DB)
            return mixed(sound, noise), RATE_HZ
        case "chapel 2.5 s, mains hum":
            mains_hz = 50.0 if planted.seed % 2 else 60.0
            return mixed(sound, mains(len(sound), RATE_HZ, dbfs=MAINS_DBFS, mains_hz=mains_hz)), RATE_HZ
        case "telephone 8 kHz":
            return through_telephone(sound, RATE_HZ), TELEPHONE_HZ
        case _:
            return sound, RATE_HZ


def sung_sound(planted: Planted) -> tuple[Sound, dict[int, float]]:
    """The singer in the room, and the true pitch of every note."""
    seconds = slips.whole_s(planted.piece, qpm=planted.qpm, starts_at_s=STARTS_AT_S)
    take = sing(
        planted.performance, seed=planted.seed, seconds=seconds, throat=planted.throat, level_dbfs=planted.level_dbfs
    )
    rt60_s, direct_to_reverb_db = planted.room
    sound = in_room(take.samples, RATE_HZ, seed=planted.seed, rt60_s=rt60_s, direct_to_reverb_db=direct_to_reverb_db)
    return sound, take.true_midi
