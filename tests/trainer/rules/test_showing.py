"""What each voice is, shown by its rhythm alone. Species by their values are Fux's (1725); how many bars decide is our own."""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.piece import Piece
from trainer.rules.showing import kind_of
from trainer.rules.texture import Texture

CANTUS = "D4 | F | E | D | G | F | A | G | F | E | D"
TRIPLE_CANTUS = "D4 | F | E | D | G | F | E | D"


def kind(line: str, meter: str = "4/4") -> str:
    found = Texture(score(f"meter: {meter} :: {line} // {line}"))
    return kind_of(found, found.lines[0])


def species(text: str, asked: str | None = None) -> tuple[str, ...]:
    return Piece(score(text), asked).species


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # whole notes throughout, and a bar or two of six broken up
        ("A4 | B | C5 | B | A", "1"),
        ("A4 | B | C5 B | B | A | G | A | G", "1"),
        ("A4 | B | C5 B | B A | A G | G | A | G", "2"),
        # halves; the first bar and the last two never decide
        (". A4 | B G | A F | G E | F E | D | C#", "2"),
        ("A4 | B G | A F | G E | F E | D | C#", "2"),
        ("A4 | B G | A F | G E | F E | D - E F | C#", "2"),
        # quarters
        (". A4 B C5 | B A G A | B A G F | E F G A | B - | C5", "3"),
        ("A4 | B A G A | B A G F | E F - G | A | B", "5"),
        # ties
        (". A4 | - G | - F | - E | - D | - C# | D", "4"),
        (". A4 | - G | F E | - D | - C | - B3 | C4", "4"),
        # of four inner bars two tied: more ties than halves, or as many
        (". A4 | - G | - F | E D | C B3 | - A | B", "4"),
        (". A4 | - G | F E | D C | B3 A | B C4 | D", "2"),
        # as many tied as whole
        (". A4 | - G | - F | E | D | - C# | D", "5"),
        # florid
        (". A4 | - G F E | D - E F | G - C5 - | - B A G | F - E D | E | D", "5"),
        # no species has triplets, or notes shorter than half a quarter
        ("A4 | B A,G,F | G | F | E | D", "free"),
        ("A4 | B A G,F,E,D E | G | F | E | D", "free"),
        ("A4 | B A G,F E | G E | F | E | D", "5"),
    ],
)
def test_the_values_of_a_line_show_its_species(line: str, expected: str) -> None:
    assert kind(line) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("A4 | B | C5 | B | A | G", "1"),
        (". A4 B | C5 B A | G A B | A G F | E F G | A - - | B", "2"),
        ("A4 | B,C5 D,C B,A | G,A B,A G,F | E,F G,A B,C | D,C B,A G,F | E - - | F", "3"),
        (". . A4 | - - G | - - F | - - E | - - D | - - C# | D", "4"),
        (". A4 - | - G - | - F - | - E - | - D - | - C# - | D", "4"),
        (". A4 - | - G F | - E D | - C B3 | - C4 D | - C# - | D", "4"),
        (". A4 B | C5 B,A B | G - A | B,C D C | B A G | A | B", "5"),
        ("A4 | B,C5,D,E C,B,A,G F | C | B | A | G | A", "free"),
    ],
)
def test_in_triple_time_the_values_are_thirds_of_the_bar(line: str, expected: str) -> None:
    assert kind(line, "3/2") == expected


def test_a_short_line_is_judged_by_its_first_bars() -> None:
    assert kind("A4 G | F") == "2"
    assert kind("A4 G F E | D") == "3"
    assert kind("A4 G | F E | D") == "2"
    assert kind("A4 G | F E D C | D") == "5"
    assert kind("A4 G | F E D C | D | E") == "3"
    assert kind("A4 | B G | A F A G | B") == "2"


def test_a_line_without_notes_is_of_no_species() -> None:
    found = Texture(score("A4 | B // . | ."))
    assert kind_of(found, found.lines[1]) == "free"


def test_a_whole_note_that_stops_with_the_music_is_whole() -> None:
    assert kind("A4 | B | C5 -") == "1"
    assert kind("A4 | B | C5 .") == "1"
    assert set(species("A4 | B | C5 . // D4 | E | C -")) == {"1", "cantus"}


def test_without_a_voice_in_whole_notes_everything_is_free() -> None:
    assert species(f"{'A4 G | ' * 6}A // {'D4 E | ' * 6}D") == ("free", "free")
    assert species("A4 | B C5,D,E,F E D | C | B | C | B // D4 | E | F | G | A | B") == ("free", "free")


def test_what_is_asked_of_the_moving_voices_holds_where_the_rhythm_is_another() -> None:
    halves = ". A4 | D A | G A | B A | G B | A F | F E | E D | D A | B C# | D"
    assert species(f"{halves} // {CANTUS}", "3") == ("3", "cantus")
    assert species(f"{halves} // A3 | A | A | A | B | A | A | B | A | A | F // {CANTUS}", "5") == ("5", "1", "cantus")
    # nobody in whole notes: all that is known is what was asked
    assert species(f"{halves} // {halves}", "2") == ("2", "2")
    assert species("cantus: bass; sing: soprano; species: 2 :: " + f"{halves} // {CANTUS}", "4") == ("4", "cantus")
    assert species("cantus: bass :: " + f"{halves} // A3 | A | A | A | B | A | A | B | A | A | F // {CANTUS}", "3") == (
        "3",
        "1",
        "cantus",
    )


def test_a_known_melody_is_the_cantus_whatever_else_closes_better() -> None:
    # the other line begins and ends on the final and falls into it by step, and has no repeated note
    other = "D5 | C | B | A | B | C | D | E | F | E | D"
    assert species(f"{other} // {CANTUS}") == ("1", "cantus")
    assert species(f"{CANTUS} // D3 | C | B2 | A | B | C3 | D | E | F | E | D") == ("cantus", "1")


MADE_UP = "D4 | E | F | D | E | C | E | D"
"""From final to final, by step from above at the close."""


@pytest.mark.parametrize(
    "other",
    [
        "A4 | C5 | A | B | C | E | C | D",  # does not begin on the final
        "D5 | C | A | B | C | E | C | A",  # does not end on it
        "D5 | C | A | B | C | E | C# | D",  # rises into it
        "D5 | C | C | B | C | A | E | D",  # repeats a note
        "D5 | A | F | B | G | E | E | D",  # leaps more
    ],
)
def test_of_two_lines_in_whole_notes_the_cantus_goes_from_final_to_final_and_falls_into_it(other: str) -> None:
    assert species(f"mode: D dorian :: {other} // {MADE_UP}") == ("1", "cantus")
    below = other.replace("4", "3").replace("5", "4")
    assert species(f"mode: D dorian :: {MADE_UP} // {below}") == ("cantus", "1")


def test_falling_into_the_final_counts_more_than_beginning_on_it() -> None:
    assert species("mode: D dorian :: D5 | C | A | B | C | A | C# | D // A3 | B | C4 | B | A | C | E | D") == (
        "1",
        "cantus",
    )


def test_of_two_that_close_alike_the_one_that_repeats_less_and_then_the_one_with_more_steps() -> None:
    assert species("mode: D dorian :: D5 | C | C | B | B | A | E | D // D4 | A3 | C4 | G3 | B | F | E4 | D") == (
        "1",
        "cantus",
    )
    assert species("mode: D dorian :: D5 | A | C | A | B | F | E | D // D4 | C | B3 | A | B | F | E | D") == (
        "1",
        "cantus",
    )
