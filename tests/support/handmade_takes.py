"""Takes written by hand for reports, and small lines of integers for the store. No sound, no judge."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audio.heard import Anchor, Gap, Heard, KeyNote, PitchFrame
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, ClashVerdict, ExtraNote, Health, NoteVerdict, Take, Vibrato
from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter, TempoMap

TENOR = ("F#3", "A3", "B3", "C#4", "B3", "F#3", "G#3", "A3", "G#3", "F#3", "D#3")


def note(bar: int, sign: Sign = Sign.HELD, **more: object) -> NoteVerdict:
    """A whole bar's note of the tenor, held four cents flat unless said otherwise."""
    expected = TENOR[bar - 1]
    usual: dict[str, object] = {
        "start_s": 4.0 * (bar - 1),
        "end_s": 4.0 * bar - 0.1,
        "sung": expected,
        "cents": -4,
        "uncertainty_cents": 3,
        "onset_error_ms": 12,
        "release_error_ms": -100,
    }
    signs = more.pop("signs", (sign,))
    return NoteVerdict(bar, Fraction(1), str(bar), Fraction(4), expected, signs, **(usual | more))  # type: ignore[arg-type]


def beats_of(verdict: NoteVerdict) -> list[BeatVerdict]:
    """Four beats that say what their note says."""
    return [
        BeatVerdict(verdict.bar, Fraction(beat), verdict.printed_bar, verdict.sign, verdict.cents, verdict.expected)
        for beat in range(1, 5)
    ]


def take_of(notes: list[NoteVerdict], **more: object) -> Take:
    """A sung take of the tenor with these notes and beats that follow them."""
    usual: dict[str, object] = {
        "title": "Ferry Bell at Low Water",
        "parts": 4,
        "score_digest": "0" * 64,
        "voice": "tenor",
        "voice_number": 3,
        "source": "sung",
        "settings": Settings(),
        "tempo_qpm": Fraction(60),
        "on_time_ms": 80,
        "notes": tuple(notes),
        "beats": tuple(beat for verdict in notes for beat in beats_of(verdict)),
    }
    return Take(**(usual | more))  # type: ignore[arg-type]


def clean_take() -> Take:
    """Eleven notes, all held."""
    return take_of([note(bar) for bar in range(1, 12)])


def faulty_take() -> Take:
    """One fault of every kind that eleven bars have room for, a clash, a note too many and a stretch that was lost."""
    silent = {"sung": None, "cents": None, "uncertainty_cents": None, "start_s": None, "end_s": None,
              "onset_error_ms": None, "release_error_ms": None}  # fmt: skip
    notes = [
        note(1, scoop_cents=-80, vibrato=Vibrato(5.5, 40)),
        note(2, Sign.SHARP, cents=31),
        note(3, signs=(Sign.LATE, Sign.BREATH), onset_error_ms=140),
        note(4, Sign.LEFT_EARLY, release_error_ms=-900),
        note(5, Sign.PULLED, sung="G#4", cents=900, pulled_to="soprano"),
        note(6, Sign.OFF, sung="G3", cents=98, also_note_of=("bass",)),
        note(7, Sign.OCTAVE, sung="G#4", cents=3),
        note(8, Sign.SILENT, **silent),
        note(9, Sign.UNSURE, **silent),
        note(10, signs=(Sign.FLAT, Sign.EARLY), cents=-38, onset_error_ms=-120),
        note(11),
    ]
    take = take_of(
        notes,
        clashes=(ClashVerdict(4, Fraction(1), "4", "7-6", Sign.HELD, Sign.LEFT_EARLY, Sign.HELD),),
        extra=(ExtraNote(29.2, 29.9, "G4"),),
        remarks=("The whole take lies 4 cents low.",),
        whole_take_cents=-4,
        health=Health(((30.0, 30.5, "sound was lost"),)),
    )
    sagged = replace(take.beats[3], sign=Sign.FLAT, cents=-30)  # the last beat of a note that was held
    return replace(take, beats=(*take.beats[:3], sagged, *take.beats[4:]))


def nothing_heard() -> Take:
    """Eleven silent notes."""
    silent = [replace(note(bar, Sign.SILENT), sung=None, cents=None, start_s=None, end_s=None) for bar in range(1, 12)]
    return take_of(silent, status="nothing heard")


def small_score(title: str = "Two Oars") -> Score:
    """Two lines, three bars of 3/2 after a pickup, with everything that a score can say of itself."""
    upper = Line(
        "soprano",
        (
            Note(Fraction(0), Fraction(2), Pitch.parse("A4"), "One"),
            Note(Fraction(2), Fraction(6), Pitch.parse("Bb4"), "oar", breath_after=True),
            Note(Fraction(8), Fraction(4, 3), Pitch.parse("C#5")),
            Note(Fraction(14), Fraction(6), Pitch.parse("D5")),
        ),
    )
    lower = Line("bass", (Note(Fraction(2), Fraction(18), Pitch.parse("D3")),))
    return Score(
        title,
        (upper, lower),
        meters=((Fraction(0), Meter(3, 2)),),
        keys=((Fraction(0), Key(-1, "dorian")),),
        tempo=TempoMap(((Fraction(0), Fraction(72)), (Fraction(8), Fraction(121, 2)))),
        pickup_quarters=Fraction(2),
        printed_bars=("0", "5", "6", "6a"),
        facts=(("species", "1"), ("crux", "nobody's but ours \u2013 ü")),
    )


def heard_line(count: int = 400, line: int = 0) -> list[Heard]:
    """A pitch line with voiced and unvoiced stretches, whole numbers only."""
    return [
        PitchFrame(
            line,
            120 * k + (k % 7),
            690_000 + (k * 7919) % 4001 - 2000 if k % 50 > 5 else (k * 104_729) % 1_300_000,
            k % 9 + 1,
            k % 50 > 5,
            (k * 37) % 1001,
            (k * 13) % 1200 - 1200,
            -1200 + (k % 800),
        )
        for k in range(count)
    ]


def heard_everything() -> list[Heard]:
    """Every kind of record, several lines, negative frames and odd fractions."""
    return [
        Anchor(-4_800, Fraction(0), Fraction(60)),
        *heard_line(30),
        Gap(4_000, 5_000, "sound was lost \u2013 twice"),
        KeyNote(1, 100, 2_000, 60, 90),
        KeyNote(1, 1_900, 4_000, 62, 1),
        Anchor(9_600, Fraction(7, 3), Fraction(121, 2)),
        *heard_line(20, line=2),
        Anchor(99_999, Fraction(22, 7), Fraction(0)),
    ]
