"""Several singers: a section's bars, a crowd's notes, and voices against each other, from verdicts written by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from handmade_takes import beats_of, note, take_of

from nets import Chance, Net
from trainer.judge.crowd import CrowdNote, crowd_take, entries_of
from trainer.judge.divided import HEARD, MISSING, UNSURE, DividedNote, HalfNote, divided_take
from trainer.judge.section import Desk, held_share, section_of
from trainer.judge.together import side_by_side, together
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict, Performance, Take

WORDS = tuple(Sign)
MOSTLY = (Sign.HELD,) * 6


def a_take(chance: Chance, bars: int) -> Take:
    """So many bars, any sign anywhere."""
    notes, beats = [], []
    for bar in range(1, bars + 1):
        sign = chance.of(*MOSTLY, *WORDS)
        pulled = chance.of("soprano", "alto") if sign is Sign.PULLED else None
        notes.append(note(bar, sign, pulled_to=pulled))
        for beat in beats_of(notes[-1]):
            turned = chance.of(*WORDS) if chance.happens(15) else sign
            drawn = chance.of(pulled, "bass") if turned is Sign.PULLED else None
            beats.append(replace(beat, sign=turned, pulled_to=drawn))
    return take_of(notes, beats=tuple(beats), status=chance.of(*["heard"] * 8, "nothing heard", "incomplete"))


def a_section(chance: Chance) -> object:
    """Desks of a section, some of whom sang another line or not at all."""
    bars = chance.whole(1, 5)
    desks = [
        Desk(f"desk {k}", a_take(chance, bars), "alto" if chance.happens(8) else None)
        for k in range(chance.whole(0, 5))
    ]
    found = section_of("Made up", 4, "tenor", 3, desks)
    shares = [held_share(desk.take.beats) for desk in desks]
    return (
        found.bars,
        found.heard,
        found.weakest(),
        found.failed(),
        found.weakest(1),
        found.failed(1),
        shares,
        [d.counts for d in desks],
    )


def a_crowd(chance: Chance) -> object:
    """Long notes of a section at one microphone."""
    base, falls = chance.whole(-20, 20), chance.of(0, -4, -5, 5, -8)
    notes = [
        CrowdNote(k, Fraction(1), str(k), chance.of("F3", "G3", "A3", "B3"), 4.0 * k,
                  base + falls * k + chance.of(0, 0, 1, -2), chance.of(None, 14, 20, 31),
                  chance.happens(40), chance.of(0, 0, 0, -1), chance.of(None, 1.0, 3.0, 4.5, 6.0))
        for k in range(chance.of(0, 1, 2, 3, 4, 5, 6))
    ]  # fmt: skip
    apart = [chance.beside(55, 100) / 1000 for _ in range(chance.of(0, 5, 6, 7))]
    return crowd_take(notes, chance.whole(0, 9), entries_of(apart))


def a_divided_section(chance: Chance) -> object:
    """Two lines of a section, either of them sung by nobody for a while."""
    notes = []
    for bar in range(chance.of(0, 1, 4, 5, 8, 9)):
        halves = []
        for expected in ("F4", "D4"):
            sign = chance.of(HEARD, HEARD, MISSING, MISSING, MISSING, UNSURE)
            halves.append(HalfNote(expected, sign, chance.whole(-30, 30) if sign == HEARD else None))
        notes.append(DividedNote(bar, Fraction(1), str(bar), *halves))
    return divided_take(notes, "alto 1", "alto 2")


def a_note(chance: Chance, bar: int) -> NoteVerdict | None:
    """A bar's note that begins and ends about when it should."""
    if chance.happens(5):
        return None
    sign = chance.of(*MOSTLY, Sign.SHARP, Sign.OFF, Sign.UNSURE, Sign.LATE)
    begin = 4.0 * (bar - 1) + chance.of(0.0, 0.0, 0.0, 0.125, 1.0)
    heard = sign is not Sign.UNSURE
    return note(
        bar,
        sign,
        cents=chance.of(None, *[chance.whole(-40, 40)] * 5),
        start_s=begin if heard else None,
        end_s=chance.of(begin + 0.15, begin + 0.25, 4.0 * bar, 4.0 * bar, 4.0 * bar + 0.25) if heard else None,
        onset_error_ms=chance.of(None, chance.whole(-100, 300)),
    )


def some_singers(chance: Chance) -> object:
    """Two to four of them, who may sing the same voice twice or press keys."""
    count, bars = chance.of(1, 2, 2, 3, 3, 4), chance.of(3, 4, 5, 6)
    takes = []
    for k in range(count):
        notes = [one for bar in range(1, bars + 1) if (one := a_note(chance, bar)) is not None]
        takes.append(
            replace(
                take_of(notes),
                voice=("soprano", "alto", "tenor", "bass")[k],
                voice_number=1 if k and chance.happens(6) else k + 1,
                source="keyed" if chance.happens(6) else "sung",
                drift_cents=chance.of(None, -30, -21, 18),
            )
        )
    performance = Performance(tuple(takes))
    if not side_by_side(performance):
        return False
    found = together(performance)
    return found, [chord.widest for chord in found.chords]


NETS = (
    Net("sections", ("section",), a_section, 250),
    Net("crowds", ("crowd",), a_crowd, 600),
    Net("divided sections", ("divided",), a_divided_section, 200),
    Net("singers", ("together",), some_singers, 300),
)
