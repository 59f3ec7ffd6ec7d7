"""By which names the voices of a score are called and found."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.score.model import Line, Note, Score, find_voice
from trainer.score.pitch import Pitch


def score(*names: str) -> Score:
    note = Note(Fraction(0), Fraction(4), Pitch("A", 0, 3))
    return Score("x", tuple(Line(name, (note,)) for name in names))


@pytest.mark.parametrize(
    ("own", "called"),
    [
        (("Flute", "Viola"), ("soprano", "bass")),
        (("a", "b", "c"), ("soprano", "alto", "bass")),
        (("Cantus", "Altus", "Tenor", "Bassus"), ("soprano", "alto", "tenor", "bass")),
        (("Bass", "Tenor", "Alto", "Soprano"), ("bass", "tenor", "alto", "soprano")),
        (("Soprano 1", "Soprano 2", "Alto", "Bass"), ("soprano 1", "soprano 2", "alto", "bass")),
        (("", "", "", "Alto"), ("1", "2", "3", "alto")),
        (("One",), ("One",)),
        (("S1", "S2", "", "T", "B"), ("S1", "S2", "3", "T", "B")),
    ],
)
def test_two_to_four_parts_have_their_trade_names_unless_the_file_gives_them_to_others(
    own: tuple[str, ...], called: tuple[str, ...]
) -> None:
    assert score(*own).voice_names() == called


@pytest.mark.parametrize(
    ("own", "wanted", "index"),
    [
        (("Cantus", "Altus", "Tenor", "Bassus"), "alto", 1),
        (("Cantus", "Altus", "Tenor", "Bassus"), "bassus", 3),
        (("Cantus", "Altus", "Tenor", "Bassus"), " ALTUS ", 1),
        (("4", "3", "2", "1"), "4", 3),
        (("Soprano 1", "Soprano 2", "Alto", "Bass"), "alto", 2),
        (("Soprano 1", "Soprano 2", "Alto", "Bass"), "tenor", 2),
        (("a", "b", "c", "d", "e", "f", "g", "h"), "8", 7),
        (("a", "b", "c", "d", "e", "f", "g", "h"), "g", 6),
    ],
)
def test_a_voice_is_found_by_number_trade_name_or_its_own(own: tuple[str, ...], wanted: str, index: int) -> None:
    assert find_voice(score(*own), wanted) == index


@pytest.mark.parametrize("wanted", ["0", "5", "mezzo", "", "-1"])
def test_a_voice_that_is_not_there_is_answered_with_those_that_are(wanted: str) -> None:
    with pytest.raises(KeyError, match="soprano, alto, tenor, bass"):
        find_voice(score("a", "b", "c", "d"), wanted)
