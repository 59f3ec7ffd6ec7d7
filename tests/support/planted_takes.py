"""Random takes with known faults for benches and campaigns: everything about one comes from its seed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import slips
from numpy.typing import NDArray
from rooms import at_level, hum, in_room, mixed, pink
from simulated_singer import Throat, sing
from slips import Performance
from written_music import FERRY_BELL, LOCK_GATE, Piece

Sound = NDArray[np.float64]
RATE_HZ = 48_000
STARTS_AT_S = 0.7
SEX = {"soprano": "women", "alto": "women", "tenor": "men", "bass": "men"}
KINDS = ("flat", "sharp", "off", "pulled", "octave", "late", "early", "left early", "silent", "breath")
CONDITIONS = ("quiet room", "church", "refrigerator", "voices leak from headphones")
SHORTEST_PLANTED_S = 0.7
"""Faults are planted in notes long enough that nobody could call them ornaments."""


SCOOPED = 0.15
"""Share of clean long notes that are slid into."""


@dataclass(frozen=True, slots=True)
class Planted:
    """One take to come: who sings what, and which notes are wrong on purpose.

    ``faults`` maps a note's index to its expected main sign; ``pulled_to`` to the voice followed;
    ``leak_db`` is the level of our own voices against the singer's where they leak.
    """

    seed: int
    piece: Piece
    voice: str
    qpm: float
    performance: Performance
    faults: Mapping[int, str]
    pulled_to: Mapping[int, str]
    throat: Throat
    condition: str
    level_dbfs: float
    leak_db: float


@cache
def pieces() -> tuple[Piece, ...]:
    """Our own two pieces and every shipped drill of two or more lines."""
    from trainer.formats import read_path
    from trainer.library import exercises

    found = [FERRY_BELL, LOCK_GATE]
    for exercise in exercises():
        score = read_path(exercise.path)
        names = score.voice_names()
        if len(score.lines) == 4 and score.title != FERRY_BELL.title and not score.pickup_quarters:
            lines = []
            for name, line in zip(names, score.lines, strict=True):
                rows = [(n.onset_quarters, f"{n.pitch}:{n.length_quarters}") for n in line.notes]
                rows += [(at, f"r:{length}") for at, length in line.rests(score.end_quarters)]
                lines.append((name, " ".join(text for _, text in sorted(rows))))
            meter = score.meters[0][1]
            found.append(Piece(score.title, tuple(lines), beats=meter.beats, unit=meter.unit))
    return tuple(found)


def plan_take(seed: int, *, faults: bool = True) -> Planted:
    """The take of one seed."""
    rng = np.random.default_rng(seed)
    piece = pieces()[int(rng.integers(len(pieces())))]
    voice = str(rng.choice(piece.voices))
    qpm = float(rng.choice([60, 72, 84, 96, 120]))
    throat = Throat(
        SEX[voice],
        vowels=str(rng.choice(["a", "ao", "aeo", "aeiou"])),
        vibrato_cents=float(rng.choice([0, 10, 25, 45, 70])),
        vibrato_hz=float(rng.uniform(4.8, 6.5)),
        scatter_cents=4.0,
        flutter_cents=float(rng.uniform(2, 6)),
        breathiness_db=float(rng.uniform(-30, -17)),
        room_dbfs=-62.0,
        legato=float(rng.uniform(0, 0.6)),
    )
    sung = slips.as_written(piece, voice, qpm=qpm, starts_at_s=STARTS_AT_S)
    wrong: dict[int, str] = {}
    pulled_to: dict[int, str] = {}
    if faults:
        sung, wrong, pulled_to = _with_faults(sung, piece, voice, rng, qpm)
    for note in sung:  # slid into from below, then right: no fault
        if note.index not in wrong and note.end_s - note.start_s >= SHORTEST_PLANTED_S and rng.random() < SCOOPED:
            sung = slips.scooped(sung, note.index, float(rng.uniform(-200, -60)))
    if rng.random() < 0.3:
        sung = slips.in_octave(sung, 1 if voice == "bass" else -1)
    return Planted(
        seed,
        piece,
        voice,
        qpm,
        sung,
        wrong,
        pulled_to,
        throat,
        condition=str(rng.choice(CONDITIONS)),
        level_dbfs=float(rng.uniform(-32, -18)),
        leak_db=float(rng.uniform(-34, -20)),
    )


def _with_faults(
    sung: Performance, piece: Piece, voice: str, rng: np.random.Generator, qpm: float
) -> tuple[Performance, dict[int, str], dict[int, str]]:
    count = len(sung)
    lengths = {note.index: note.end_s - note.start_s for note in sung}
    wrong: dict[int, str] = {}
    pulled_to: dict[int, str] = {}
    taken: set[int] = set()
    breathing: list[int] = []
    for kind in rng.permutation(list(KINDS))[: max(2, count // 4)]:
        free = [
            k for k in range(1, count - 2) if lengths[k] >= SHORTEST_PLANTED_S and not taken & {k - 1, k, k + 1, k + 2}
        ]
        if not free:
            continue
        k = int(rng.choice(free))
        if kind in ("flat", "sharp"):
            cents = float(rng.uniform(36, 60)) * (-1 if kind == "flat" else 1)
            sung = slips.detuned(sung, k, cents)
        elif kind == "off":
            try:
                sung = slips.at_pitch(sung, k, slips.third_off(piece, voice, k))
            except ValueError:
                continue
        elif kind == "pulled":
            found = [
                (k, other) for k in free for other in _leaders(piece, voice, k) if lengths[k + 1] >= SHORTEST_PLANTED_S
            ]
            if not found:
                continue
            k, other = found[int(rng.integers(len(found)))]
            sung = slips.pulled(sung, (k, k + 1), piece, voice, other)
            wrong[k + 1], pulled_to[k], pulled_to[k + 1] = "pulled", other, other
        elif kind == "octave":
            up = voice == "bass" or rng.random() < 0.3
            sung = slips.at_pitch(sung, k, next(n.midi for n in sung if n.index == k) + (12 if up else -12))
        elif kind == "late":
            ms = float(rng.uniform(170, 300))
            sung = slips.late(sung, k, ms) if rng.random() < 0.5 else slips.late_legato(sung, k, ms)
        elif kind == "early":
            if piece.notes(voice)[k - 1].name == piece.notes(voice)[k].name or lengths[k - 1] < SHORTEST_PLANTED_S:
                continue
            sung = slips.early(sung, k, float(rng.uniform(170, 300)))
        elif kind == "left early":
            share = float(rng.uniform(0.5, 0.65))
            if lengths[k] * share < max(0.75, 0.5 * 60 / qpm * 4 / piece.unit + 0.1):
                continue  # so short a gap is a breath
            sung = slips.left_early(sung, k, 1000 * lengths[k] * share)
        elif kind == "silent":
            sung = slips.missing(sung, k)
        elif kind == "breath":
            if lengths[k] < 1.2:
                continue
            breathing.append(k)
        wrong[k] = str(kind)
        taken |= {k, k + 1} if kind == "pulled" else {k}
    for k in breathing:  # last, since a breath makes two events of one note
        sung = slips.breath(sung, k, after_s=lengths[k] * 0.5, ms=float(rng.uniform(200, 350)))
    return sung, wrong, pulled_to


def _leaders(piece: Piece, voice: str, k: int) -> list[str]:
    """Voices that can be followed through notes k and k + 1 without any doubt about whose notes those are."""
    notes = piece.notes(voice)
    own = {note.midi % 12 for note in notes[k - 1 : k + 3]}
    found = []
    for other in piece.voices:
        if other == voice:
            continue
        theirs = [_alone(piece, other, note.onset_quarters, note.end_quarters) for note in notes[k : k + 2]]
        if None in theirs or theirs[0] == theirs[1] or {m % 12 for m in theirs if m is not None} & own:
            continue
        rivals = {
            n.midi % 12
            for third in piece.voices
            if third not in (voice, other)
            for n in piece.notes(third)
            if n.onset_quarters < notes[k + 1].end_quarters and n.end_quarters > notes[k].onset_quarters
        }
        if not rivals & {m % 12 for m in theirs if m is not None}:
            found.append(other)
    return found


def _alone(piece: Piece, other: str, begin: Any, end: Any) -> int | None:
    """The one note of *other* that sounds all through, None when there are several or none."""
    sounding = [n for n in piece.notes(other) if n.onset_quarters < end and n.end_quarters > begin]
    return (
        sounding[0].midi
        if len(sounding) == 1 and sounding[0].onset_quarters <= begin and sounding[0].end_quarters >= end
        else None
    )


def sound_of(planted: Planted, *, score: Path, scratch: Path) -> tuple[Sound, dict[int, float]]:
    """Samples at 48 kHz as the microphone hears them, and the true pitch of every note."""
    seconds = slips.whole_s(planted.piece, qpm=planted.qpm, starts_at_s=STARTS_AT_S)
    take = sing(
        planted.performance, seed=planted.seed, seconds=seconds, throat=planted.throat, level_dbfs=planted.level_dbfs
    )
    sound = take.samples
    frames = len(sound)
    if planted.condition == "church":
        sound = in_room(sound, RATE_HZ, seed=planted.seed, rt60_s=0.8, direct_to_reverb_db=8.0)
    elif planted.condition == "refrigerator":
        sound = mixed(sound, hum(frames, RATE_HZ, dbfs=-50), pink(frames, RATE_HZ, seed=planted.seed + 7, dbfs=-52))
    elif planted.condition == "voices leak from headphones":
        sound = mixed(sound, _leak(planted, score, scratch, frames, planted.level_dbfs + planted.leak_db))
    return np.clip(sound[:frames], -1, 1), take.true_midi


def _leak(planted: Planted, score: Path, scratch: Path, frames: int, dbfs: float) -> Sound:
    """What our own three voices leave in the microphone."""
    import soundfile
    from heldline_command import heldline
    from rooms import at_rate

    out = scratch / "leak.wav"
    done = heldline("hear", score, "--without", planted.voice, "--tempo", planted.qpm, "-o", out, "--json")
    if done.status != 0:
        raise RuntimeError(done.err)
    table, rate_hz = soundfile.read(out, always_2d=True)
    voices = at_rate(table.mean(axis=1), rate_hz, RATE_HZ)
    at = int(STARTS_AT_S * RATE_HZ)
    return at_level(np.concatenate([np.zeros(at), voices])[:frames], dbfs)


def judged_take(planted: Planted, scratch: Path) -> tuple[dict[str, Any], dict[int, float]]:
    """The take through the public command, and the truth."""
    from heldline_command import judged, save
    from written_music import write_musicxml

    score = write_musicxml(planted.piece, scratch / "piece.musicxml")
    sound, truth = sound_of(planted, score=score, scratch=scratch)
    recording = save(scratch / "take.wav", sound, RATE_HZ)
    words = ("sing", score, "--voice", planted.voice, "--input", recording, "--tempo", f"{planted.qpm:g}")
    return judged(*words, "--starts-at", STARTS_AT_S, "--no-log"), truth
