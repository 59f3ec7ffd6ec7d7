"""The sound of a planted take as a microphone gives it, and the take through the public command."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import slips
from numpy.typing import NDArray
from planted_takes import STARTS_AT_S, Planted
from rooms import TELEPHONE_HZ, in_room, level_dbfs, mains, mixed, pink, through_telephone
from simulated_singer import sing

Sound = NDArray[np.float64]
RATE_HZ = 48_000
PINK_UNDER_DB = 10.0
MAINS_DBFS = -45.0


def judged_take(planted: Planted, scratch: Path) -> tuple[dict[str, Any], dict[int, float]]:
    """The take through the public command, and the true pitch of every note."""
    from heldline_command import heldline, save
    from written_music import write_musicxml

    score = write_musicxml(planted.piece, scratch / "piece.musicxml")
    sound, truth = sung_sound(planted)
    words: list[object] = ["sing", score, "--voice", planted.voice, "--tempo", f"{planted.qpm:g}"]
    words += ["--starts-at", STARTS_AT_S, "--no-log", "--input", scratch / "take.wav"]
    sound, rate_hz = as_recorded(planted, sound)
    save(scratch / "take.wav", np.clip(sound, -1, 1), rate_hz)
    done = heldline(*words, "--json")
    # a singer in noise who is taken for nobody is no crash: every note counts as unsure, and so as missed
    assert done.status in (0, 5), f"status {done.status}: {done.err}"
    return done.table, truth


def as_recorded(planted: Planted, sound: Sound) -> tuple[Sound, int]:
    """What else the microphone hears and what the line makes of it: samples and their rate."""
    match planted.condition:
        case "pink noise 10 dB":
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
