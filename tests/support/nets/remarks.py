"""Notes of a take written by hand, and what is said once of the whole: octave, another key, offset, drift, another line, a misfit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from handmade_takes import note
from heard_frames import quartet

from audio.heard import Anchor
from nets import Chance, Net
from trainer.judge.other_key import other_key
from trainer.judge.remarks import RECORDING, remarks
from trainer.judge.trend import Trend
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict
from trainer.practice.timemap import TimeMap
from trainer.score.pitch import spelled_midi

SCORE = quartet("E5 " * 11, "C5 " * 11, "A3 " * 11, "A2 " * 11)


def notes_in(chance: Chance, key: int, shift: int) -> list[NoteVerdict]:
    """Up to eleven notes sung so many semitones away, some of them otherwise; each with cents or with the name of what was sung."""
    made = []
    common = chance.of(0, 0, 15, 16, -16, 30, -40)
    for bar in range(1, 1 + chance.of(1, 5, 6, 7, 8, 9, 11)):
        one = note(bar)
        away = key + (chance.of(0, 0, 1, 3) if chance.happens(25) else 0)
        assert one.expected is not None
        sung = str(spelled_midi(_midi(one.expected) + away + 12 * shift, fifths=0))
        cents = 100 * away + common + chance.of(0, 0, 24, 25, 26, 28, 29, -25)
        sign = (
            Sign.HELD
            if not cents
            else chance.of(Sign.OFF, Sign.OFF, Sign.PULLED, Sign.OCTAVE, Sign.LATE, Sign.FLAT, Sign.SILENT)
        )
        also = ("alto",) if chance.happens(40) else ()
        pulled = chance.of("alto", "bass") if sign is Sign.PULLED else None
        signs = (sign, Sign.LATE) if chance.happens(15) and sign is not Sign.LATE else (sign,)
        made.append(
            replace(one, signs=signs, sung=chance.of(sung, sung, None), cents=chance.of(cents, cents, cents, None),
                    uncertainty_cents=chance.of(0, 3, None), also_note_of=also, pulled_to=pulled)
        )  # fmt: skip
    return made


def _midi(name: str) -> int:
    from trainer.score.pitch import Pitch

    return Pitch.parse(name).midi


def another_key(chance: Chance) -> object:
    """Most notes the same interval away."""
    key, shift = chance.of(0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, -1, -2, -3, -11), chance.of(0, 0, 0, 1, -1, -2)
    notes = notes_in(chance, key, shift)
    return other_key(
        notes, shift=shift, taken_off_cents=chance.of(0, 0, 0, 20, -120), tolerance_cents=chance.of(25, 15)
    )


def what_is_said(chance: Chance) -> object:
    """Every remark that a take's figures can call for."""
    settings = Settings(alone=chance.happens(20), time=chance.of("fixed", "fixed", "free"))
    plan = make_plan(SCORE, (2,), settings)
    shift = chance.of(0, 0, 1, -1, 2, -2)
    drift = chance.of(None, None, 1_500, -2_449, -2_450, 50)
    first, last = chance.of(-48_000, 0, 96_000, 400_000), 900_000
    offset = chance.of(0, 1_449, 1_450, 1_500, -1_449, -1_450, -1_551)
    trend = None if chance.happens(15) else Trend(offset, drift, first, offset, first, last)
    notes = notes_in(chance, chance.of(0, 0, 0, 2), shift)
    if chance.happens(50):
        notes = [
            replace(one, signs=(chance.of(Sign.FLAT, Sign.SHARP, Sign.HELD, Sign.LATE, Sign.OFF, Sign.EARLY),))
            for one in notes
        ]
    if chance.happens(30):
        notes.append(replace(notes[0], expected=None, signs=(Sign.OFF,)))
    time = TimeMap([Anchor(0, Fraction(0), Fraction(60))])
    return remarks(plan, notes, shift=shift, trend=trend, time=time, voice="tenor", advice=RECORDING)


NETS = (
    Net("another key", ("other_key",), another_key, 800),
    Net("remarks", ("remarks", "other_key"), what_is_said, 800),
)
