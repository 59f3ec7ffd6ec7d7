"""Takes in which one thing grows from note to note: how far off, how late, how soft, how short. Where a verdict turns is then seen.

Written as pitch frames, with no sound and no tracker. ``tests/trainer/judge/test_rulers.py`` checks where the words turn against what they
mean, and keeps every figure as it was (regression).
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from heard_frames import HOP_FRAMES, RATE_HZ, Sung, frames, quartet
from told_of_takes import notes_of, rest_of

from audio.heard import PitchFrame
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.score.model import Score
from trainer.score.pitch import Pitch
from trainer.takes.judging import judge

NOTES = 36
BEGIN_S = 1.0
TENOR = 2
COMPANY = ("E5 D5 F5 E5 G5 F5", "C5 B4 A4 C5 B4 A4", "A3 C4 B3 D4 C4 G3", "A2 G2 F2 A2 E2 G2")
"""Six bars again and again; no note of the tenor's stands beside itself."""


@dataclass(frozen=True)
class Ruler:
    """What is heard, of which score, and the settings under which it is judged."""

    name: str
    score: Score
    heard: tuple[PitchFrame, ...]
    settings: tuple[Settings, ...]

    def takes(self) -> list[Take]:
        """One under each of the settings."""
        return [judge(self.score, (TENOR,), self.heard, settings=one).takes[0] for one in self.settings]


def the_score(notes: int = NOTES) -> Score:
    """Four voices in whole notes, a second each at 240."""
    rows = [" ".join((line.split() * notes)[:notes]) for line in COMPANY]
    return quartet(*rows)


def plain(**changed: object) -> Settings:
    """At 240 quarters a minute, beginning after a second."""
    return Settings(**{"tempo_qpm": Fraction(240), "starts_at_s": Fraction(BEGIN_S), **changed})  # type: ignore[arg-type]


def written(score: Score) -> list[Sung]:
    """The tenor as written, each note released 20 ms early."""
    return [Sung(BEGIN_S + k, BEGIN_S + k + 0.98, float(n.pitch.midi)) for k, n in enumerate(score.lines[TENOR].notes)]


def ruler(name: str, changed: Callable[[int, Sung], list[Sung]], *settings: Settings) -> Ruler:
    """Every note of the line changed by its number."""
    score = the_score()
    sung = [part for k, note in enumerate(written(score)) for part in changed(k, note)]
    return Ruler(name, score, tuple(frames(sung, BEGIN_S + NOTES + 1)), settings or (plain(),))


CENTS = (
    0, 5, 10, 13, 15, 17, 20, 23, 25, 27, 30, 33, 35, 37, 40, 45, 48, 50, 52, 55, 60, 65, 68, 70, 72, 75, 80, 90, 100, 110, 130, 150,
    180, 195, 200, 210,
)  # fmt: skip
STEPS_MS = (
    0, 20, 40, 60, 70, 75, 80, 85, 90, 95, 100, 105, 110, 120, 140, 160, 180, 200, 220, 240, 245, 250, 255, 260, 280, 300, 320, 350,
    400, 450, 500, 550, 600, 650, 700, 750,
)  # fmt: skip


def rulers() -> Iterator[Ruler]:
    """All of them."""
    both = (plain(), plain(tolerance_cents=15, against="pure"))
    yield ruler("sharp", lambda k, n: [replace(n, midi=n.midi + CENTS[k] / 100)], *both)
    yield ruler("flat", lambda k, n: [replace(n, midi=n.midi - CENTS[k] / 100)], *both, plain(alone=True))
    yield ruler("late", lambda k, n: [replace(n, start_s=n.start_s + STEPS_MS[k] / 1000)])
    yield ruler("early", lambda k, n: _early(k, n))
    yield ruler("left early", lambda k, n: [replace(n, end_s=n.end_s - STEPS_MS[k] / 1000)])
    yield ruler("gap", lambda k, n: _broken(n, n.start_s + 0.1, STEPS_MS[k] / 1000))
    yield ruler("gap late", lambda k, n: _broken(n, n.end_s - 0.12 - STEPS_MS[k] / 1000, STEPS_MS[k] / 1000))
    yield ruler("short", lambda k, n: [replace(n, end_s=n.start_s + 0.02 + STEPS_MS[k] / 1000)])
    yield ruler("soft", lambda k, n: [replace(n, level_db10=-250 - 15 * k)])
    yield ruler("unclear", lambda k, n: [replace(n, confidence=1000 - 28 * k)])
    yield ruler("scooped", lambda k, n: [replace(n, entry_cents=20.0 * (k - 18))])
    yield ruler("vibrato", lambda k, n: [replace(n, vibrato_cents=4.0 * k, midi=n.midi + (k % 5) * 0.11)])
    yield ruler("sagging", _sagging, plain(), plain(alone=True))
    yield ruler("sinking", lambda k, n: [replace(n, midi=n.midi - k * 0.02)], plain(), plain(alone=True))
    yield ruler("drawn away", _drawn_away, plain(), plain(octave="strict"), plain(octave="free"))
    yield ruler(
        "octaves",
        lambda k, n: [replace(n, midi=n.midi + (12, 0, 12, -12, 24, 12)[k % 6])],
        plain(),
        plain(octave="free"),
    )
    yield _changed("humming", ruler("", lambda k, n: [replace(n, end_s=n.start_s + 0.6)] if k % 3 else []), _hum)
    yield _changed("ringing", ruler("", lambda k, n: [replace(n, end_s=n.start_s + 0.5)] if k % 4 else []), _ring)
    yield _changed("noisy", ruler("", lambda k, n: [replace(n, level_db10=-300)]), _noise)
    yield _changed("slips", ruler("", lambda k, n: [n]), _slips)
    yield _machine()
    yield _rests()


def _early(k: int, note: Sung) -> list[Sung]:
    """Begun sooner, the note before cut off for it."""
    sooner = STEPS_MS[k] / 1000 if k % 2 else 0.0
    shorter = STEPS_MS[k + 1] / 1000 if k % 2 == 0 and k + 1 < NOTES else 0.0
    return [replace(note, start_s=note.start_s - sooner, end_s=note.end_s - shorter)]


def _broken(note: Sung, at_s: float, seconds: float) -> list[Sung]:
    return [replace(note, end_s=at_s), replace(note, start_s=at_s + seconds)]


def _sagging(k: int, note: Sung) -> list[Sung]:
    """Its second half lower."""
    middle = note.start_s + 0.5
    return [replace(note, end_s=middle), replace(note, start_s=middle, midi=note.midi - CENTS[k] / 100)]


def _drawn_away(k: int, note: Sung) -> list[Sung]:
    """Some notes as another voice has them, in this octave or another, some slid on to, some of nobody's."""
    chance = random.Random(k // 2)
    if chance.random() < 0.3:
        return [note]
    other = chance.choice((0, 1, 3))
    row = COMPANY[other].split()
    theirs = Pitch.parse(row[k % len(row)]).midi
    near = min((theirs + 12 * octaves for octaves in range(-3, 4)), key=lambda midi: abs(midi - note.midi))
    wrong = replace(note, midi=near + chance.choice((0, 0, 0, -12, 1)))
    if chance.random() < 0.3:
        own = replace(note, end_s=note.start_s + 0.3)
        slide = [replace(note, start_s=note.start_s + 0.3 + 0.02 * j, end_s=note.start_s + 0.32 + 0.02 * j,
                         midi=note.midi + (wrong.midi - note.midi) * j / 10) for j in range(1, 10)]  # fmt: skip
        return [own, *slide, replace(wrong, start_s=note.start_s + 0.5)]
    return [wrong]


def _changed(name: str, made: Ruler, change: Callable[[int, PitchFrame], PitchFrame]) -> Ruler:
    return replace(made, name=name, heard=tuple(change(k, frame) for k, frame in enumerate(made.heard)))


def _at_s(frame: PitchFrame) -> float:
    return frame.centre_frame / RATE_HZ


def _hum(k: int, frame: PitchFrame) -> PitchFrame:
    """Where nobody sings, a machine's tone, soft and even, which stops and comes back."""
    if frame.voiced or int(_at_s(frame)) % 9 == 8:
        return frame
    return replace(
        frame,
        voiced=True,
        f0_c100=475_000 + 40 * (k % 3),
        confidence=930,
        level_db10=-520 + 2 * (k % 4),
        residual_db10=-700,
    )


def _machine() -> Ruler:
    """A fan's tone from four seconds before the music to the end, under a singer who leaves out every third bar."""
    lead_s = 4
    made = ruler("", lambda k, n: [replace(n, end_s=n.start_s + 0.7)] if k % 3 else [])
    moved = [replace(frame, centre_frame=frame.centre_frame + lead_s * RATE_HZ) for frame in made.heard]
    before = frames([], lead_s)
    heard = tuple(
        frame
        if frame.voiced
        else replace(frame, voiced=True, f0_c100=455_000 + 60 * (k % 3), confidence=930, level_db10=-560 + 3 * (k % 4))
        for k, frame in enumerate((*before, *moved))
    )
    return Ruler("machine", made.score, heard, (plain(starts_at_s=Fraction(BEGIN_S) + lead_s),))


def _ring(k: int, frame: PitchFrame) -> PitchFrame:
    """The room rings on after every note, each fainter by the hop."""
    into = (_at_s(frame) - BEGIN_S) % 1.0 - 0.5
    bar = int(_at_s(frame) - BEGIN_S)
    if frame.voiced or into < 0 or bar % 4 == 0 or into > 0.02 * (bar % 20) + 0.05:
        return frame
    pitch = int(_pitch_at(bar) * 10_000)
    return replace(
        frame, voiced=True, f0_c100=pitch, confidence=850, level_db10=-250 - int(into * 500), residual_db10=-500
    )


def _pitch_at(bar: int) -> float:
    row = COMPANY[TENOR].split()
    return float(Pitch.parse(row[bar % len(row)]).midi)


def _noise(k: int, frame: PitchFrame) -> PitchFrame:
    """Loud stretches that are no tone, each bar a little longer."""
    bar, into = int(_at_s(frame)), _at_s(frame) % 1.0
    if 0.3 <= into < 0.3 + 0.018 * (bar % NOTES):
        return replace(frame, voiced=False, confidence=150, level_db10=-200, residual_db10=-205)
    return frame


def _slips(k: int, frame: PitchFrame) -> PitchFrame:
    """The tracker slips to another octave for some hops, each bar for one more."""
    bar, into = int(_at_s(frame)), _at_s(frame) % 1.0
    if frame.voiced and 0.4 <= into < 0.4 + HOP_FRAMES / RATE_HZ * bar:
        return replace(frame, f0_c100=frame.f0_c100 + (120_000 if bar % 2 else -120_000), confidence=760)
    return frame


def _rests() -> Ruler:
    """Every other bar rests, and is sung in for longer and longer."""
    rows = [line.split() for line in COMPANY]
    tenor = ["-" if k % 2 else rows[TENOR][k % 6] for k in range(NOTES)]
    score = quartet(*(" ".join((row * NOTES)[:NOTES]) if j != TENOR else " ".join(tenor) for j, row in enumerate(rows)))
    sung = []
    for k in range(NOTES):
        midi, begin = _pitch_at(k), BEGIN_S + k
        sung.append(
            Sung(begin, begin + 0.95, midi)
            if k % 2 == 0
            else Sung(begin + 0.03 * k / 2, begin + 0.06 * k / 2 + 0.02, midi + k % 3)
        )
    return Ruler("rests", score, tuple(frames(sung, BEGIN_S + NOTES + 1)), (plain(), plain(alone=True)))


KEPT = Path(__file__).resolve().parents[1] / "golden" / "ours" / "rulers.txt"


def rows() -> Iterator[str]:
    """Every take of every ruler as it is kept, a line each."""
    for one in rulers():
        for number, take in enumerate(one.takes()):
            yield f"{one.name} {number}: {digests(take)}"


def digests(take: Take) -> str:
    """Six hex digits a note, and six for everything else of the take."""
    return " ".join([*map(_short, notes_of(take)), "rest", _short("\n".join(rest_of(take)))])


def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:6]
