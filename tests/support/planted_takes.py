"""Random takes with known faults for benches and campaigns: everything about one comes from its seed.

Condition and voice go round with the seed, so every row of seeds has all of both. Who sings has consonants, vibrato up to 70
cents, slides, a room and dynamics: in one take of seven, notes of five loudnesses down to 20 dB under the loudest. Three takes of four
are of music made up for the bench (``made_up_music``), one is of a shipped drill or of the tests' own pieces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import slips
from made_up_music import LONG, MIXED, SHORT, made_up
from simulated_singer import Throat
from slips import Performance
from written_music import FERRY_BELL, LOCK_GATE, Piece

STARTS_AT_S = 2.0
VOICES = ("soprano", "alto", "tenor", "bass")
SEX = {"soprano": "women", "alto": "women", "tenor": "men", "bass": "men"}
QUIET, PINK, BLEED = "quiet", "pink noise 10 dB", "bleed 0 dB"
CONDITIONS = (QUIET, PINK, BLEED)
"""``BLEED`` is our loudspeaker as loud at the microphone as the singer in the mean, its room learnt by soundcheck."""
KINDS = ("off", "random", "flat", "sharp", "pulled", "octave", "late", "early", "left early", "silent", "breath")
"""``off`` is a third that is nobody's note; ``random`` is any semitone within a ninth, be it whose it may."""

HARD_TO_PLACE = ("left early", "late", "early", "pulled", "breath")
"""Placed first, while there are long notes left; then all kinds go round."""

MOST_WRONG, ROUNDS = 0.5, 4
SLIP_MS = 150.0
LOWEST_MIDI, HIGHEST_MIDI = 37, 84
SHORTEST_PLANTED_S, SHORTEST_TIMED_S, SHORTEST_BREATH_S, SHORTEST_LEFT_S = 0.4, 0.6, 1.2, 1.6
DRILLS, BARS, STYLES = 0.125, 12, (LONG, MIXED, MIXED, MIXED, MIXED, MIXED, SHORT, SHORT)
SCOOPED = 0.1
"""Share of right long notes that are slid into."""

ROOMS = ((0.15, 12.0), (0.4, 6.0), (0.8, 8.0))
"""RT60 in seconds and direct to reverberant sound in dB: a furnished room, a bare one, a small church."""
ROOM_SHARES = (0.5, 0.35, 0.15)
LOUDNESSES_DB = (0.0, -3.0, -6.0, -10.0, -20.0)


@dataclass(frozen=True, slots=True)
class Planted:
    """One take to come: who sings what, and which notes are wrong on purpose.

    ``faults`` maps a note's index to its kind; ``pulled_to`` to the voice followed; ``room`` is one of ROOMS; ``guide`` says whether
    the loudspeaker sounds the singer's own line too.
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
    room: tuple[float, float]
    guide: bool


WRITTEN_BY_HAND = 17


@cache
def pieces() -> tuple[Piece, ...]:
    """Our own two pieces and the drills of four lines that were written by hand: a seed's take is the same however the library grows."""
    from trainer.formats import read_path
    from trainer.library import exercises

    found = [FERRY_BELL, LOCK_GATE]
    for exercise in exercises()[:WRITTEN_BY_HAND]:
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
    condition, voice = CONDITIONS[seed % len(CONDITIONS)], VOICES[seed // len(CONDITIONS) % 4]
    if rng.random() < DRILLS:
        piece, qpm = pieces()[int(rng.integers(len(pieces())))], float(rng.choice([96, 120, 144]))
    else:
        piece, qpm = made_up(rng, bars=BARS, styles=STYLES), float(rng.choice([72, 84, 96, 108, 120]))
    throat = Throat(
        SEX[voice],
        vowels=str(rng.choice(["a", "ao", "aeo", "aeiou"])),
        vibrato_cents=float(rng.choice([0, 10, 25, 45, 70])),
        vibrato_hz=float(rng.uniform(4.8, 6.5)),
        scatter_cents=4.0,
        flutter_cents=float(rng.uniform(2, 6)),
        breathiness_db=float(rng.uniform(-30, -17)),
        room_dbfs=-64.0,
        legato=float(rng.uniform(0, 0.6)),
    )
    sung = slips.as_written(piece, voice, qpm=qpm, starts_at_s=STARTS_AT_S)
    wrong: dict[int, str] = {}
    pulled_to: dict[int, str] = {}
    shift = _shift(sung, rng)
    if faults:
        sung, wrong, pulled_to = _with_faults(sung, piece, voice, rng, shift)
    for note in sung:  # slid into from below, then right: no fault
        if note.index not in wrong and note.end_s - note.start_s >= 0.7 and rng.random() < SCOOPED:
            sung = slips.scooped(sung, note.index, float(rng.uniform(-200, -60)))
    dynamics = rng.random()
    if dynamics < 0.15:
        sung = tuple(replace(note, gain_db=float(rng.choice(LOUDNESSES_DB))) for note in sung)
    elif dynamics < 0.4:
        sung = tuple(replace(note, gain_db=float(rng.uniform(-8, 0))) for note in sung)
    return Planted(
        seed,
        piece,
        voice,
        qpm,
        slips.in_octave(sung, shift),
        wrong,
        pulled_to,
        throat,
        condition,
        level_dbfs=float(rng.uniform(-30, -20)),
        room=ROOMS[int(rng.choice(len(ROOMS), p=ROOM_SHARES))],
        guide=bool(rng.random() < 0.25),
    )


def _shift(sung: Performance, rng: np.random.Generator) -> int:
    """Octaves by which the whole take is sung elsewhere: one take of five."""
    octaves = int(rng.choice([-1, 1]))
    fits = all(LOWEST_MIDI + 5 <= note.midi + 12 * octaves <= HIGHEST_MIDI - 5 for note in sung)
    return octaves if fits and rng.random() < 0.2 else 0


def _with_faults(
    sung: Performance, piece: Piece, voice: str, rng: np.random.Generator, shift: int
) -> tuple[Performance, dict[int, str], dict[int, str]]:
    planting = _Planting(sung, piece, voice, rng, shift)
    most = max(2, int(len(sung) * MOST_WRONG))
    for kind in [*HARD_TO_PLACE, *(str(k) for _ in range(ROUNDS) for k in rng.permutation(KINDS[:-1]))]:
        if len(planting.wrong) >= most:
            break
        planting.plant(kind)
    return planting.performance(), planting.wrong, planting.pulled_to


class _Planting:
    """A line into which faults are put one after the other, right notes between them."""

    def __init__(self, sung: Performance, piece: Piece, voice: str, rng: np.random.Generator, shift: int) -> None:
        self.sung, self.piece, self.voice, self.rng, self.shift = sung, piece, voice, rng, shift
        self.lengths = {note.index: note.end_s - note.start_s for note in sung}
        self.midi = {note.index: note.midi for note in sung}
        self.wrong: dict[int, str] = {}
        self.pulled_to: dict[int, str] = {}
        self.breathing: list[int] = []

    def performance(self) -> Performance:
        """Breaths last, since a breath makes two events of one note."""
        sung = self.sung
        for k in self.breathing:
            sung = slips.breath(sung, k, after_s=self.lengths[k] * 0.5, ms=float(self.rng.uniform(220, 380)))
        return sung

    def plant(self, kind: str) -> None:
        """One more fault of that kind, where there is a place for it."""
        last = len(self.sung) - 2
        reach = 2 if kind == "pulled" else 1
        free = [
            k for k in range(1, last) if not set(self.wrong) & set(range(k - 1, k + reach + 1)) and self._fits(kind, k)
        ]
        if kind == "pulled":
            follows = [(k, other) for k in free for other in leaders(self.piece, self.voice, k)]
            if follows:
                k, other = follows[int(self.rng.integers(len(follows)))]
                self.sung = slips.pulled(self.sung, (k, k + 1), self.piece, self.voice, other)
                self.wrong |= {k: kind, k + 1: kind}
                self.pulled_to |= {k: other, k + 1: other}
        elif free:
            k = int(self.rng.choice(free))
            self.wrong[k] = kind
            getattr(self, "_" + kind.replace(" ", "_"))(k)

    def _fits(self, kind: str, k: int) -> bool:
        before, here, after = (self.lengths[j] for j in (k - 1, k, k + 1))
        match kind:
            case "pulled":
                return min(here, after) >= SHORTEST_PLANTED_S
            case "off":
                return here >= SHORTEST_PLANTED_S and self._third(k) is not None
            case "octave":
                return here >= SHORTEST_PLANTED_S and bool(self._octaves(k))
            case "late":
                return min(before, here, after) >= SHORTEST_TIMED_S
            case "early":
                return min(before, here, after) >= SHORTEST_TIMED_S and self.midi[k - 1] != self.midi[k]
            case "left early":
                return here >= SHORTEST_LEFT_S
            case "breath":
                return here >= SHORTEST_BREATH_S
            case _:
                return here >= SHORTEST_PLANTED_S

    def _third(self, k: int) -> float | None:
        try:
            return slips.third_off(self.piece, self.voice, k)
        except ValueError:
            return None

    def _octaves(self, k: int) -> list[int]:
        return [s for s in (-12, 12) if LOWEST_MIDI <= self.midi[k] + 12 * self.shift + s <= HIGHEST_MIDI]

    def _off(self, k: int) -> None:
        third = self._third(k)
        assert third is not None
        self.sung = slips.at_pitch(self.sung, k, third)

    def _random(self, k: int) -> None:
        away = int(self.rng.integers(1, 10)) * (1 if self.rng.random() < 0.5 else -1)
        if not LOWEST_MIDI <= self.midi[k] + 12 * self.shift + away <= HIGHEST_MIDI:
            away = -away
        self.sung = slips.at_pitch(self.sung, k, self.midi[k] + away)

    def _flat(self, k: int) -> None:
        self.sung = slips.detuned(self.sung, k, -float(self.rng.uniform(36, 54)))

    def _sharp(self, k: int) -> None:
        self.sung = slips.detuned(self.sung, k, float(self.rng.uniform(36, 54)))

    def _octave(self, k: int) -> None:
        self.sung = slips.at_pitch(self.sung, k, self.midi[k] + int(self.rng.choice(self._octaves(k))))

    def _late(self, k: int) -> None:
        self.sung = (slips.late if self.rng.random() < 0.5 else slips.late_legato)(self.sung, k, SLIP_MS)

    def _early(self, k: int) -> None:
        self.sung = slips.early(self.sung, k, SLIP_MS)

    def _left_early(self, k: int) -> None:
        # more than a breath may take: half a beat and 600 ms at most
        self.sung = slips.left_early(
            self.sung, k, 1000 * max(0.8, self.lengths[k] * float(self.rng.uniform(0.45, 0.65)))
        )

    def _silent(self, k: int) -> None:
        self.sung = slips.missing(self.sung, k)

    def _breath(self, k: int) -> None:
        self.breathing.append(k)


def leaders(piece: Piece, voice: str, k: int) -> list[str]:
    """Voices that can be followed through notes k and k + 1 without any doubt about whose notes those are."""
    notes = piece.notes(voice)
    own = {note.midi % 12 for note in notes[max(k - 1, 0) : k + 3]}
    found = []
    for other in piece.voices:
        if other == voice:
            continue
        theirs = [_alone(piece, other, note.onset_quarters, note.end_quarters) for note in notes[k : k + 2]]
        if None in theirs or {m % 12 for m in theirs if m is not None} & own:
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
