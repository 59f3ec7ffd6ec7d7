"""Bars are known by their music: an edit keeps all others, an excerpt knows where it comes from."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import scores

from trainer.library import resolve
from trainer.score.change import cut, transpose
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Interval, Pitch
from trainer.score.sameness import bar_music, matched, rewritten, shared_bars


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Kettle before Dawn")


def with_note(score: Score, line: int, index: int, pitch: str) -> Score:
    """One note of a line at another pitch."""
    notes = list(score.lines[line].notes)
    notes[index] = replace(notes[index], pitch=Pitch.parse(pitch))
    lines = list(score.lines)
    lines[line] = Line(lines[line].name, tuple(notes))
    return replace(score, lines=tuple(lines))


def numbers(score: Score) -> list[int]:
    return [bar.number for bar in score.bars().bars]


def test_every_bar_is_the_same_as_itself_under_another_title_and_tempo(score: Score) -> None:
    other = replace(score, title="Something else", tempo=score.tempo.scaled_to(Fraction(33)), facts=())
    assert matched(bar_music(score), bar_music(other)) == {number: number for number in numbers(score)}


def test_one_rewritten_note_changes_its_bar_and_no_other(score: Score) -> None:
    first_bass = score.lines[2].notes[4]
    edited = with_note(score, 2, 4, str(first_bass.pitch.transposed(Interval(1, 2))))
    bar = score.bars().place(first_bass.onset_quarters).bar
    same = matched(bar_music(score), bar_music(edited))
    assert set(numbers(score)) - set(same) == {bar}
    assert rewritten(bar_music(score), bar_music(edited)) == {bar: bar}


def test_a_tie_in_place_of_a_note_struck_again_is_other_music() -> None:
    a4 = Pitch.parse("A4")
    struck = Score("x", (Line("a", (Note(Fraction(0), Fraction(4), a4), Note(Fraction(4), Fraction(4), a4))),))
    held = replace(struck, lines=(Line("a", (Note(Fraction(0), Fraction(8), a4),)),))
    assert matched(bar_music(struck), bar_music(held)) == {1: 1}
    assert rewritten(bar_music(struck), bar_music(held)) == {2: 2}


def test_a_bar_put_in_moves_the_others_along(score: Score) -> None:
    bars = bar_music(score)
    strange = replace(bars[0], digest="0" * 32, as_first="0" * 32)
    longer = tuple(replace(bar, number=k) for k, bar in enumerate((*bars[:3], strange, *bars[3:]), start=1))
    assert matched(bars, longer) == {bar.number: bar.number + (bar.number > 3) for bar in bars}
    assert rewritten(bars, longer) == {}


def test_a_transposed_exercise_shares_no_bar(score: Score) -> None:
    assert shared_bars(bar_music(score), bar_music(transpose(score, Interval(1, 2)))) == 0


def test_an_excerpt_that_begins_inside_a_tie_is_found_in_its_place(score: Score) -> None:
    assert any(n.onset_quarters < score.bars().quarters(5) < n.end_quarters for line in score.lines for n in line.notes)
    assert matched(bar_music(cut(score, 5, 6)), bar_music(score)) == {1: 5, 2: 6}


def test_of_two_equal_bars_the_printed_number_decides() -> None:
    notes = tuple(
        Note(Fraction(4 * k), Fraction(4), Pitch.parse(name)) for k, name in enumerate(("A4", "B4", "A4", "G4"))
    )
    score = Score("x", (Line("a", notes),))
    assert matched(bar_music(cut(score, 3, 3)), bar_music(score)) == {1: 3}
    assert matched(bar_music(cut(score, 1, 1)), bar_music(score)) == {1: 1}


@settings(deadline=None, max_examples=60)
@given(score=scores(), data=st.data())
def test_any_excerpt_lies_in_its_whole_where_it_was_cut(score: Score, data: st.DataObject) -> None:
    there = [bar.number for bar in score.bars().bars]
    first = data.draw(st.sampled_from(there))
    last = data.draw(st.sampled_from([number for number in there if number >= first]))
    part = cut(score, first, last)
    if not any(line.notes for line in part.lines) or len(part.bars().bars) != last - first + 1:
        return  # an excerpt that ends in rests is shorter than its bars
    if any(bar.length_quarters != bar.meter.bar_quarters for bar in score.bars().bars[1:]):
        return  # a bar cut short by a change of meter is whole where nothing follows it
    found = matched(bar_music(part), bar_music(score))
    places = {bar.number: first + k for k, bar in enumerate(part.bars().bars)}
    assert set(found) == set(places)
    printed = {bar.number: bar.printed for bar in score.bars().bars}
    if len({bar.digest for bar in bar_music(score)}) == len(there):
        assert found == places
        assert [printed[place] for place in found.values()] == [bar.printed for bar in part.bars().bars]
