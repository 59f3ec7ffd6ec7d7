"""Hypothesis strategies for written music: pitches, lines and whole scores that every part of the program must cope with."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import STEPS, Pitch
from trainer.score.time import Meter, TempoMap, lay_out_bars

LENGTHS = tuple(Fraction(n, d) for n, d in ((1, 4), (1, 2), (3, 4), (1, 1), (3, 2), (2, 1), (3, 1), (4, 1), (6, 1)))
TRIPLETS = (Fraction(1, 3), Fraction(2, 3))
WORDS = st.text(alphabet="abcdefghijklmnopqrstuvwxyzäéß", min_size=1, max_size=6)
SYLLABLES = st.one_of(st.just(""), WORDS, WORDS.map(lambda word: f"{word}-"))
TEXTS = st.lists(WORDS, min_size=1, max_size=4).map(" ".join)


def pitches(lowest_octave: int = 2, highest_octave: int = 5) -> st.SearchStrategy[Pitch]:
    """Any letter with up to two sharps or flats."""
    return st.builds(Pitch, st.sampled_from(STEPS), st.integers(-2, 2), st.integers(lowest_octave, highest_octave))


@st.composite
def lines(draw: st.DrawFn, *, quarters: Fraction, name: str, lengths: tuple[Fraction, ...] = LENGTHS) -> Line:
    """One voice of at most *quarters*: notes and rests in any order, some with words and breaths."""
    notes, at = [], Fraction(0)
    while at < quarters:
        length = min(draw(st.sampled_from(lengths)), quarters - at)
        if draw(st.integers(0, 4)):
            notes.append(
                Note(at, length, draw(pitches()), lyric=draw(SYLLABLES), breath_after=draw(st.integers(0, 9)) == 0)
            )
        at += length
    return Line(name, tuple(notes))


@st.composite
def scores(draw: st.DrawFn, *, lengths: tuple[Fraction, ...] = LENGTHS + TRIPLETS, most_lines: int = 4) -> Score:
    """A score of a few bars with meter, key and tempo changes, at times a pickup; each line has a name of its own."""
    per_bar = draw(
        st.lists(
            st.sampled_from([Meter(4, 4), Meter(3, 4), Meter(2, 2), Meter(3, 2), Meter(6, 8)]), min_size=1, max_size=4
        )
    )
    pickup = draw(st.sampled_from([Fraction(0), Fraction(0), Fraction(1), Fraction(1, 2)]))
    meters, at = [(Fraction(0), per_bar[0])], pickup
    for meter in per_bar:
        if meter != meters[-1][1]:
            meters.append((at, meter))
        at += meter.bar_quarters
    names = draw(st.lists(WORDS, min_size=1, max_size=most_lines, unique_by=str.lower))
    parts = [draw(lines(quarters=at, name=name, lengths=lengths)) for name in names]
    if not any(part.notes for part in parts):
        parts[0] = Line(names[0], (Note(Fraction(0), Fraction(1), draw(pitches())),))
    end = max(part.notes[-1].end_quarters for part in parts if part.notes)
    kept = tuple(change for change in meters if change[0] < end)
    bars = lay_out_bars(kept, end_quarters=end, pickup_quarters=pickup).bars
    later = [bar.onset_quarters for bar in bars[1:]] + [
        bar.onset_quarters + bar.meter.beat_quarters for bar in bars[1:]
    ]
    return Score(
        draw(TEXTS),
        tuple(parts),
        meters=kept,
        keys=_keys(draw, later),
        tempo=_tempo(draw, later),
        pickup_quarters=pickup,
        printed_bars=draw(st.sampled_from([(), tuple(f"{number}a" for number in range(len(bars)))])),
        facts=draw(
            st.sampled_from([(), (("species", "free"), ("crux", "a leap; and a rest"), ("colour", "none at all"))])
        ),
    )


def _keys(draw: st.DrawFn, later: list[Fraction]) -> tuple[tuple[Fraction, Key], ...]:
    """None, one from the start, or that and another one later."""
    modes = st.sampled_from(["", "dorian", "minor"])
    if not draw(st.booleans()):
        return ()
    first = Key(draw(st.integers(-7, 7)), draw(modes))
    found = [(Fraction(0), first)]
    if later and draw(st.booleans()):
        second = Key(draw(st.integers(-7, 7)), draw(modes))
        if second.fifths != first.fifths:
            found.append((draw(st.sampled_from(later)), second))
    return tuple(found)


def _tempo(draw: st.DrawFn, later: list[Fraction]) -> TempoMap:
    qpm = st.sampled_from([Fraction(60), Fraction(72), Fraction(145, 2), Fraction(100)])
    points = [(Fraction(0), draw(qpm))]
    if later and draw(st.booleans()):
        second = draw(qpm)
        if second != points[0][1]:
            points.append((draw(st.sampled_from(later)), second))
    return TempoMap(tuple(points))
