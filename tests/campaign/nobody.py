"""Nobody sings, the loudspeaker does: in no room and at no level may one beat count as sung."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from heldline_command import NEVER_SUNG, heldline, save
from planted_takes import pieces
from rooms import at_level, at_rate, hum, in_room, mixed, pink, through_small_speaker
from tallies import at_most
from written_music import write_musicxml

RATE_HZ = 48_000


class Campaign:
    """One silent take an attempt."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.count, self.heard = scratch, 0, 0
        os.environ["HELDLINE_HOME"] = str(scratch / "home")

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when a beat counts as sung."""
        rng = np.random.default_rng(seed)
        piece = pieces()[int(rng.integers(len(pieces())))]
        voice = str(rng.choice(piece.voices))
        qpm = float(rng.choice([60, 84, 120]))
        score = write_musicxml(piece, self.scratch / "piece.musicxml")
        out = self.scratch / "three.wav"
        done = heldline("hear", score, "--without", voice, "--tempo", f"{qpm:g}", "-o", out, "--json")
        if done.status != 0:
            return {"failure": done.err}
        table, rate_hz = soundfile.read(out, always_2d=True)
        sound = at_rate(table.mean(axis=1), rate_hz, RATE_HZ)
        how = {"rt60_s": float(rng.uniform(0.15, 1.5)), "direct_to_reverb_db": float(rng.uniform(-8, 10)),
               "level_dbfs": float(rng.uniform(-55, -15)), "room_dbfs": float(rng.uniform(-70, -45)),
               "small": bool(rng.random() < 0.5), "hum": bool(rng.random() < 0.3)}  # fmt: skip
        if how["small"]:
            sound = through_small_speaker(sound, RATE_HZ)
        sound = in_room(sound, RATE_HZ, seed=seed, rt60_s=how["rt60_s"], direct_to_reverb_db=how["direct_to_reverb_db"])
        parts = [at_level(sound, how["level_dbfs"]), pink(len(sound), RATE_HZ, seed=seed + 1, dbfs=how["room_dbfs"])]
        if how["hum"]:
            parts.append(hum(len(sound), RATE_HZ, dbfs=how["room_dbfs"] + 6))
        recording = save(self.scratch / "take.wav", np.clip(mixed(*parts), -1, 1), RATE_HZ)
        words = ("sing", score, "--voice", voice, "--input", recording, "--tempo", f"{qpm:g}", "--no-log", "--json")
        done = heldline(*words)
        told: dict[str, Any] = {"piece": piece.title, "voice": voice, "qpm": qpm, **how}
        sung = [b for b in done.table["beats"] if b["sign"] not in NEVER_SUNG] if done.out else ["no report"]
        if sung or done.status != 5:
            self.heard += 1
            told["failure"] = f"{piece.title} {voice}: status {done.status}, sung {sung[:4]} {done.err[:200]} {how}"
        return told

    def summary(self) -> tuple[list[str], bool]:
        """How many of how many."""
        bound = 100 * at_most(self.heard, self.count) if self.count else 100.0
        return [
            f"{self.heard} of {self.count} silent takes had a beat counted as sung, at most {bound:.2f} %"
        ], not self.heard
