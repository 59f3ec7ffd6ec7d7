"""Whatever the judge may say, every report can be made of it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from handmade_takes import take_of
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign, ranked
from trainer.practice.take import BeatVerdict, ClashVerdict, ExtraNote, Health, NoteVerdict, Take, Vibrato
from trainer.reports.as_json import as_text, to_json
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.reports.why import why

CENTS = st.none() | st.integers(-2_400, 2_400)
MS = st.none() | st.integers(-4_000, 4_000)
NAMES = st.sampled_from(["F#3", "Bb4", "C-1", "G##5"])
BEATS = st.fractions(1, 6, max_denominator=6)
VOICES = st.sampled_from(["soprano", "alto", "a part with a very long name indeed", "7"])
SIGNS = st.sets(st.sampled_from(list(Sign)), min_size=1).map(ranked)


@st.composite
def notes(draw: st.DrawFn) -> NoteVerdict:
    bar = draw(st.integers(0, 6))
    return NoteVerdict(
        bar,
        draw(BEATS),
        draw(st.sampled_from([str(bar), "12b", ""])),
        draw(st.fractions(Fraction(1, 6), 8, max_denominator=6)),
        draw(st.none() | NAMES),
        draw(SIGNS),
        draw(st.none() | st.floats(-10, 10_000)),
        draw(st.none() | st.floats(-10, 10_000)),
        draw(st.none() | NAMES),
        draw(CENTS),
        draw(st.none() | st.integers(0, 99)),
        draw(MS),
        draw(MS),
        draw(st.none() | VOICES),
        tuple(draw(st.lists(VOICES, max_size=2))),
        draw(st.booleans()),
        draw(CENTS),
        draw(st.none() | st.builds(Vibrato, st.floats(4, 8), st.integers(0, 200))),
        tuple(draw(st.lists(st.tuples(st.text(max_size=9), st.text(max_size=9)), max_size=2))),
    )


BEAT = st.builds(
    BeatVerdict, st.integers(0, 6), st.integers(1, 6).map(Fraction), st.just(""), st.sampled_from(list(Sign)), CENTS,
    st.none() | NAMES, st.none() | NAMES, st.none() | VOICES,
)  # fmt: skip
CLASH = st.builds(
    ClashVerdict, st.integers(0, 6), BEATS, st.just("4"), st.sampled_from(["7-6", "4-3"]),
    *[st.sampled_from(list(Sign))] * 3,
)  # fmt: skip
TAKES = st.builds(
    lambda **facts: replace(take_of([]), **facts),
    title=st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=120),
    notes=st.lists(notes(), max_size=12).map(tuple),
    beats=st.lists(BEAT, max_size=24).map(tuple),
    clashes=st.lists(CLASH, max_size=2).map(tuple),
    extra=st.lists(st.builds(ExtraNote, st.floats(0, 9), st.floats(0, 9), NAMES), max_size=2).map(tuple),
    status=st.sampled_from(["heard", "nothing heard", "incomplete"]),
    source=st.sampled_from(["sung", "keyed"]),
    settings=st.sampled_from([Settings(), Settings(alone=True, octave="free", against="pure", delay_known=False)]),
    health=st.just(Health(((1.0, 2.0, "lost"),))),
    remarks=st.lists(st.sampled_from(["Sank by 20 cents from bar 4 on.", ""]), max_size=2).map(tuple),
)


@given(take=TAKES, width=st.sampled_from([40, 60, 80]), letters=st.sampled_from(["all", "ascii"]))
@settings(max_examples=120, deadline=None)
def test_every_take_can_be_drawn_told_and_written(take: Take, width: int, letters: str) -> None:
    drawn = take_text(take, Look(width, letters=letters))
    assert max(len(line) for line in drawn.splitlines()) <= max(width, 60)
    assert take_text(take, Look(width, form="plain"))
    assert as_text(to_json(take)).isascii()
    for note in take.notes:
        why(take, note.bar, note.beat)
    for beat in take.beats:
        assert why(take, beat.bar, beat.beat)
