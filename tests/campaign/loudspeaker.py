"""Loud speakers: in each of five rooms nobody sings, and in each a right singer is held.

One take an attempt, every sixth of them sung: ``--attempts 300`` is fifty silent takes and ten sung ones a room. The room is learnt from
the wave of soundcheck through the same loudspeaker and room, as a live take has it; then the take goes through the tracker behind the
canceller and the judge. The rooms share no code with the canceller.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import slips
from behind_loudspeaker import NOISE_DBFS, heard_behind, learnt_in, sounded
from heldline_command import NEVER_SUNG
from loudspeaker_room import Setup, level_db, soft_noise
from planted_takes import pieces
from rooms import at_rate
from simulated_singer import Throat, sing
from tallies import at_most
from written_music import write_musicxml

from audio.units import RATE_HZ
from trainer.formats import read_path
from trainer.practice.settings import Settings
from trainer.takes.judging import judge

STARTS_S, QPM = 1.0, 120
ROOMS = {
    "desk": Setup(seed=901, rt60_s=0.25, delay_s=0.02, direct_db=8.0),
    "study": Setup(seed=902, rt60_s=0.35, delay_s=0.05),
    "kitchen": Setup(seed=903, rt60_s=0.5, delay_s=0.06, direct_db=0.0),
    "cheap loudspeaker": Setup(seed=904, rt60_s=0.35, delay_s=0.09, bent=0.03, lowest_hz=220.0),
    "two clocks": Setup(seed=905, rt60_s=0.4, delay_s=0.15, ppm=100.0),
}
SUNG_EVERY = 6
GUIDED = 0.25
"""Share of silent takes in which the loudspeaker sounds the singer's own line too."""

HELD_SHARE = 0.9
"""Of the notes of a right singer as loud as the loudspeaker."""


class Campaign:
    """A silent or a right take an attempt, the rooms in turn."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.count = scratch, 0
        self.silent, self.wrong, self.right, self.held = (Counter[str]() for _ in range(4))

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when a shut mouth counts as sung, or a right singer is not held."""
        rng = np.random.default_rng(seed)
        room = list(ROOMS)[seed % len(ROOMS)]
        sings = (seed // len(ROOMS)) % SUNG_EVERY == 0
        piece = pieces()[int(rng.integers(len(pieces())))]
        voice = str(rng.choice(piece.voices))
        score = read_path(write_musicxml(piece, self.scratch / "piece.musicxml"))
        line = score.voice_names().index(voice)
        settings = Settings(tempo_qpm=Fraction(QPM), starts_at_s=Fraction(1))
        guide = not sings and rng.random() < GUIDED
        which = tuple(k for k in range(len(score.lines)) if guide or k != line)
        played = sounded(score, which, settings) * 10 ** (float(rng.uniform(-6, 6)) / 20)
        echo = ROOMS[room].at_microphone(played)
        heard = echo + soft_noise(len(echo), RATE_HZ, seed=seed, dbfs=NOISE_DBFS)
        if sings:
            heard = heard + self._sung(piece, voice, seed, level_db(echo), len(echo))
        frames = heard_behind(learnt_in(ROOMS[room]), heard, played, entry_frame=round(STARTS_S * RATE_HZ))
        take = judge(score, (line,), frames, settings=settings).takes[0]
        told: dict[str, Any] = {
            "room": room,
            "piece": piece.title,
            "voice": voice,
            "sings": sings,
            "guide": guide,
            "status": take.status,
        }
        self.silent[room] += not sings
        signs = Counter(str(note.sign.value) for note in take.notes if note.expected is not None)
        held = signs["held"] + signs["breath"] >= HELD_SHARE * sum(signs.values())
        self.right[room] += sings
        self.held[room] += sings and held
        if sings and not held:
            told["failure"] = f"{room} {piece.title} {voice}: a right singer was {dict(signs)}"
        sung = [(b.bar, float(b.beat), b.sign.value) for b in take.beats if b.sign.value not in NEVER_SUNG]
        if not sings and (sung or take.status != "nothing heard"):
            self.wrong[room] += 1
            told["failure"] = f"{room} {piece.title} {voice}: {take.status}, sung {sung[:4]}"
        return told

    def _sung(self, piece: Any, voice: str, seed: int, dbfs: float, frames: int) -> Any:
        performance = slips.as_written(piece, voice, qpm=QPM, starts_at_s=STARTS_S)
        throat = Throat("men" if voice in ("tenor", "bass") else "women", room_dbfs=-90.0)
        sound = sing(performance, seed=seed, seconds=frames / RATE_HZ + 1, throat=throat, level_dbfs=dbfs).samples
        return at_rate(sound, 48_000, RATE_HZ)[:frames]

    def summary(self) -> tuple[list[str], bool]:
        """How many of how many, by room."""
        lines = []
        for room in ROOMS:
            bound = 100 * at_most(self.wrong[room], self.silent[room]) if self.silent[room] else 100.0
            lines.append(
                f"{room}: {self.wrong[room]} of {self.silent[room]} silent takes sung, at most {bound:.1f} %; "
                f"{self.held[room]} of {self.right[room]} right singers held"
            )
        return lines, not sum(self.wrong.values())
