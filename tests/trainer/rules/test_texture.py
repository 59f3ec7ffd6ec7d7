"""The score in integers: tones, slices, moves, bars and their weights. Expected values by hand from the written music."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from written import score

from trainer.rules.texture import HALF, SMALLER, STRONG, WEAK, Slice, Texture, joined, runs
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter


def texture(text: str) -> Texture:
    return Texture(score(text))


def in_quarters(found: Texture, ticks: int) -> F:
    return F(ticks, found.ticks)


def names(one: Slice) -> list[str]:
    return [tone.name if tone is not None else "." for tone in one.tones]


def line(*notes: tuple[str, F, F]) -> Line:
    return Line("", tuple(Note(at, long, Pitch.parse(name)) for name, at, long in notes))


def test_a_tone_says_where_it_stands_and_what_it_is() -> None:
    found = texture("C4 Bb3 | F#4 // C3 | D")
    first, second, third = found.lines[0]
    assert [tone.name for tone in (first, second, third)] == ["C4", "Bb3", "F#4"]
    assert (first.midi, first.dia, first.letter, first.alter) == (60, 28, 0, 0)
    assert (second.midi, second.dia, second.letter, second.alter) == (58, 27, 6, -1)
    assert (third.midi, third.dia, third.letter, third.alter) == (66, 31, 3, 1)
    assert [(tone.voice, tone.place) for line in found.lines for tone in line] == [
        (0, 0),
        (0, 1),
        (0, 2),
        (1, 0),
        (1, 1),
    ]
    assert in_quarters(found, second.on) == 2
    assert in_quarters(found, second.length) == 2
    assert in_quarters(found, found.end) == 8


def test_double_signs_are_named() -> None:
    (tones,) = Texture(Score("x", (line(("F##4", F(0), F(1)), ("Bbb3", F(1), F(1))),))).lines
    assert [tone.name for tone in tones] == ["F##4", "Bbb3"]


@pytest.mark.parametrize("length", [F(1), F(1, 3), F(1, 5), F(3, 16), F(2, 7)])
def test_every_place_is_a_whole_tick(length: F) -> None:
    found = Texture(Score("x", (line(("D4", F(0), length), ("E4", length, F(4) - length)),)))
    first, second = found.lines[0]
    assert (first.on, first.end) == (0, second.on)
    assert in_quarters(found, second.on) == length
    assert in_quarters(found, second.end) == 4


def test_a_bar_line_off_the_eighths_is_a_whole_tick_too() -> None:
    found = Texture(Score("x", (line(("D4", F(0), F(1)), ("E4", F(1), F(1))),), meters=((F(0), Meter(5, 32)),)))
    assert [in_quarters(found, bar.on) for bar in found.bars[:3]] == [0, F(5, 8), F(5, 4)]


def test_a_slice_begins_where_a_voice_begins_or_ends_a_note() -> None:
    found = texture("A4 G | . F // D4 | E - C -")
    assert [in_quarters(found, one.on) for one in found.slices] == [0, 2, 4, 6]
    assert [names(one) for one in found.slices] == [["A4", "D4"], ["G4", "D4"], [".", "E4"], ["F4", "C4"]]
    assert [in_quarters(found, one.end) for one in found.slices] == [2, 4, 6, 8]
    held, struck = found.slices[1], found.slices[3]
    assert (held.struck(0), held.struck(1), held.held(0), held.held(1)) == (True, False, False, True)
    assert (struck.struck(0), struck.struck(1)) == (True, True)
    silent = found.slices[2]
    assert (silent.struck(0), silent.held(0)) == (False, False)
    assert [tone.name for tone in silent.sounding] == ["E4"]


def test_the_bass_is_the_lowest_that_sounds_and_of_two_equal_the_lower_voice() -> None:
    crossed, equal, alone = texture("A4 E . . // D4 E F - // G3 E4 A -").slices[:3]
    assert crossed.bass is not None
    assert crossed.bass.voice == 2
    assert equal.bass is not None
    assert equal.bass.voice == 2
    assert alone.bass is not None
    assert alone.bass.name == "F4"
    assert texture("D4 | D // F4 | F").slices[0].bass.voice == 0  # type: ignore[union-attr]


def test_music_without_notes_has_neither_slices_nor_length() -> None:
    found = Texture(Score("x", (Line("a", ()), Line("b", ()))))
    assert (found.end, found.slices, found.parts) == (0, (), 2)
    assert found.slice_at(0) is None
    assert found.tone_at(0, 0) is None
    assert found.bass_at(0) is None


def test_what_sounds_at_a_moment_is_looked_up() -> None:
    found = texture("A4 G | F . // D4 | E")
    quarter = found.ticks
    assert [found.tone_at(0, at * quarter).name for at in (0, 1, 2, 3, 4)] == ["A4", "A4", "G4", "G4", "F4"]  # type: ignore[union-attr]
    assert found.tone_at(0, 6 * quarter) is None
    assert found.tone_at(1, 7 * quarter).name == "E4"  # type: ignore[union-attr]
    assert found.bass_at(quarter).name == "D4"  # type: ignore[union-attr]
    assert found.slice_at(8 * quarter) is None
    assert found.slice_at(8 * quarter - 1) is not None
    assert found.bass_at(8 * quarter) is None


def test_tones_between_two_moments_are_those_that_sound_there() -> None:
    found = texture("A4 G F E | D // D4 | D")
    quarter = found.ticks

    def between(start: int, end: int) -> list[str]:
        return [tone.name for tone in found.between(0, start * quarter, end * quarter)]

    assert between(1, 3) == ["G4", "F4"]
    assert between(0, 1) == ["A4"]
    assert between(3, 5) == ["E4", "D4"]
    assert [tone.name for tone in found.between(0, quarter // 2, quarter + 1)] == ["A4", "G4"]
    assert between(8, 9) == []


def test_neighbours_in_a_line_are_found_across_rests_and_joined_only_without() -> None:
    found = texture("A4 . G F // D4")
    first, second, third = found.lines[0]
    assert found.before(first) is None
    assert found.after(third) is None
    assert found.after(first) is second
    assert found.before(second) is first
    assert not joined(first, second)
    assert joined(second, third)
    assert not joined(None, first)
    assert not joined(first, None)


def test_a_line_is_cut_at_its_rests() -> None:
    found = texture("A4 B . C5 | D . E F // D4 | D")
    assert [[tone.name for tone in run] for run in runs(found.lines[0])] == [["A4", "B4"], ["C5", "D5"], ["E5", "F5"]]
    assert runs(()) == []


# moves


def moved(text: str, pair: tuple[int, int] = (0, 1)) -> list[tuple[str, F, F]]:
    found = texture(text)
    return [
        (
            f"{one.a.name} {one.b.name} / {one.c.name} {one.d.name}",
            in_quarters(found, one.at),
            in_quarters(found, one.to),
        )
        for one in found.moves[pair]
    ]


def test_a_move_is_where_both_voices_go_to_another_pitch_at_once() -> None:
    assert moved("A4 | B | B | C5 // D4 | E | F | F") == [("A4 B4 / D4 E4", F(0), F(4))]
    assert moved("A4 G | B // D4 | E") == [("G4 B4 / D4 E4", F(2), F(4))]
    assert moved("A4 - - G | B // D4 E - - | F") == [("G4 B4 / E4 F4", F(3), F(4))]


def test_a_rest_of_less_than_a_bar_does_not_part_a_move_and_a_bar_does() -> None:
    assert moved("A4 . | B // D4 . | E") == [("A4 B4 / D4 E4", F(0), F(4))]
    assert moved("A4 | . | B // D4 | . | E") == []
    assert moved("A4 . . . | . B // D4 . . . | . E") == []
    assert moved("A4 . | . B C D // D4 . | . E F G")[0] == ("A4 B4 / D4 E4", F(0), F(5))


def test_two_notes_that_never_sounded_together_are_no_beginning_of_a_move() -> None:
    assert moved("A4 . | B // . D4 | E") == []
    assert moved("A4 - - . | B // . . . D4 | E") == []


def test_every_pair_has_its_moves() -> None:
    found = texture("C5 | D // E4 | F // C4 | C")
    assert found.pairs == ((0, 1), (0, 2), (1, 2))
    assert {pair: len(moves) for pair, moves in found.moves.items()} == {(0, 1): 1, (0, 2): 0, (1, 2): 0}


# bars and weights


def weights(meter: str, bars: int = 1) -> list[int]:
    """The weight of every eighth of so many bars."""
    body = " | ".join(["A4"] * bars)
    found = texture(f"meter: {meter} :: {body} // {body}")
    eighth = found.ticks // 2
    return [found.weight(at * eighth) for at in range(found.bars[bars - 1].end // eighth)]


@pytest.mark.parametrize(
    ("meter", "expected"),
    [
        ("4/4", [STRONG, SMALLER, WEAK, SMALLER, HALF, SMALLER, WEAK, SMALLER]),
        ("2/2", [STRONG, SMALLER, WEAK, SMALLER, HALF, SMALLER, WEAK, SMALLER]),
        ("3/4", [STRONG, SMALLER, WEAK, SMALLER, WEAK, SMALLER]),
        ("3/2", [STRONG, *[SMALLER] * 3, WEAK, *[SMALLER] * 3, WEAK, *[SMALLER] * 3]),
        ("9/8", [STRONG, SMALLER, SMALLER, WEAK, SMALLER, SMALLER, WEAK, SMALLER, SMALLER]),
        ("2/4", [STRONG, WEAK, HALF, WEAK]),
    ],
)
def test_the_weight_of_a_moment_follows_the_meter(meter: str, expected: list[int]) -> None:
    assert weights(meter) == expected
    assert weights(meter, bars=2) == expected * 2


@pytest.mark.parametrize(
    ("meter", "triple"), [("3/4", True), ("9/8", True), ("6/8", False), ("12/8", False), ("4/4", False)]
)
def test_six_and_twelve_are_even_bars(meter: str, triple: bool) -> None:
    assert texture(f"meter: {meter} :: A4 | B // D4 | E").bars[0].triple is triple


def test_a_grid_is_a_quarter_of_an_even_bar_and_a_third_of_a_triple_one() -> None:
    for meter, wanted in (("4/4", F(1)), ("2/2", F(1)), ("4/2", F(2)), ("3/2", F(2)), ("3/4", F(1)), ("6/8", F(3, 4))):
        found = texture(f"meter: {meter} :: A4 | B // D4 | E")
        assert in_quarters(found, found.bars[0].grid) == wanted, meter


def test_the_beats_of_a_pickup_count_up_to_the_bar_line() -> None:
    even = texture("pickup: 2 :: A4 G | F // D4 - | D")
    quarter = even.ticks
    assert [bar.number for bar in even.bars] == [0, 1]
    assert [even.weight(at * quarter) for at in (0, 1, 2)] == [HALF, WEAK, STRONG]
    triple = texture("meter: 3/4; pickup: 1 :: A4 | F - - // D4 | D - -")
    assert [triple.weight(at * triple.ticks) for at in (0, 1, 2, 3)] == [WEAK, STRONG, WEAK, WEAK]


def test_a_moment_lies_in_the_bar_that_it_opens() -> None:
    found = texture("A4 | B | C5 // D4 | E | F")
    bar = 4 * found.ticks
    assert [found.bar_at(at).number for at in (0, bar - 1, bar, 2 * bar, 3 * bar)] == [1, 1, 2, 3, 3]
    assert [found.bar_index(at) for at in (0, bar - 1, bar, 2 * bar)] == [0, 0, 1, 2]
    assert [(found.place(at).bar, found.place(at).beat) for at in (0, bar + found.ticks, bar + found.ticks)] == [
        (1, 1),
        (2, 2),
        (2, 2),
    ]
