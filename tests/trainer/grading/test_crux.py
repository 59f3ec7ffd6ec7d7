"""What is hard about a line is said in plain words with its bars. Every expected sentence was worked out by hand from the notes."""

from __future__ import annotations

import pytest

from trainer.formats.drill import read
from trainer.grading.crux import MOST_TOLD, all_kinds, crux_words, cruxes
from trainer.grading.declare import Crux
from trainer.rules.piece import Piece
from trainer.score.model import Score, find_voice
from trainer.singable.part import Part

NAMES = {1: ("alto",), 2: ("soprano", "bass"), 3: ("soprano", "alto", "bass"), 4: ("soprano", "alto", "tenor", "bass")}


def score(*lines: str, **headers: str) -> Score:
    said = {"mode": "C ionian"} | headers
    text = [f"{name}: {value}" for name, value in said.items()]
    text += [f"{name} | {line} |" for name, line in zip(NAMES[len(lines)], lines, strict=True)]
    return read("\n".join(text).encode(), "x.drill")


def told(piece: Score, voice: str) -> dict[str, Crux]:
    return {crux.kind: crux for crux in cruxes(Part(Piece(piece), find_voice(piece, voice)))}


def says(piece: Score, voice: str) -> dict[str, str]:
    return {kind: crux.says for kind, crux in told(piece, voice).items()}


ALONE = [
    ("C4 | D | E | D | C", "steps-only", "steps only"),
    ("C4 | C | D", "steps-only", "steps only"),
    ("C4 | E | D | C", "small-leaps", "steps and thirds only"),
    ("C4 | F | E | B3", "fourths", "two fourths in bars 2 and 4"),
    ("C4 | G4 | F | E", "big-leap", "one big leap: a fifth up in bar 2"),
    ("C4 | D | B4 | A", "big-leap", "one big leap: a sixth up in bar 3"),
    ("C4 | G4 | F | F5 | E", "big-leap", "two big leaps, the widest an octave up in bar 4"),
    ("C4 | F4 | B4 | A", "odd-leap", "an augmented fourth up in bar 3"),
    ("F4 | B3 | C", "odd-leap", "a diminished fifth down in bar 2"),
    ("B3 | F4 | E", "odd-leap", "a diminished fifth up in bar 2"),
    ("C4 | F | A | G", "leaps-running", "two leaps running in bar 3"),
    ("C4 | C | C | C | D", "repeats", "the same note four times from bar 1"),
    ("E4 | . C | D | . E", "entry", "entries after rests in bars 2 and 4, on a note that nobody had"),
    (". C4 | D E | F | E", "entry", "entry after a rest in bar 1"),
    ("C4 | F# | G", "altered", "raised fourth in bar 2"),
    ("C4 | B3 | A | Bb | A", "altered", "seventh natural, then lowered in bar 4"),
    ("C4 | D | C#", "altered", "raised first at the close"),
]


@pytest.mark.parametrize(("line", "kind", "words"), ALONE)
def test_a_line_by_itself(line: str, kind: str, words: str) -> None:
    assert says(score(line), "alto")[kind] == words


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("C4 | E | D", "steps-only"),
        ("C4 | F | E", "small-leaps"),
        ("C4 | G4 | F", "fourths"),
        ("C4 | F | E", "big-leap"),
        ("B3 | F4 | E", "big-leap"),
        ("C4 | G | F", "odd-leap"),
        ("C4 | E | G | F", "leaps-running"),
        ("C4 | F | E | A", "leaps-running"),
        ("C4 | C | D | D", "repeats"),
        ("C4 | D | E", "entry"),
        ("C4 | D | E", "altered"),
    ],
)
def test_what_a_line_has_not_is_not_told(line: str, kind: str) -> None:
    assert kind not in told(score(line), "alto")


@pytest.mark.parametrize(
    ("mode", "line", "words"),
    [
        ("D dorian", "D4 | B | A | D", "the dorian sixth in bar 2"),
        ("E phrygian", "E4 | F | E | F | E", "the low second degree in bars 2 and 4"),
        ("F lydian", "F4 | B | C", "the raised fourth degree in bar 2"),
        ("G mixolydian", "G4 | F | E | F | F | G", "the low seventh degree in bars 2, 4 and 5"),
    ],
)
def test_the_degree_that_makes_the_mode_is_told(mode: str, line: str, words: str) -> None:
    assert says(score(line, mode=mode), "alto")["colour"] == words


def test_a_raised_leading_note_is_not_the_modes_own_seventh() -> None:
    assert "colour" not in told(score("G4 | F# | G", mode="G mixolydian"), "alto")


def test_shared_notes_name_the_voice_and_the_bars_but_not_where_voices_meet_by_right() -> None:
    piece = score("E5 | D | E | F | E", "C4 | D | C | A | C", "C4 | D | G3 | A | C", "C3 | B2 | C | D | C")
    assert says(piece, "alto")["shared-note"] == "shares notes with the tenor in bars 2 and 4"
    assert says(piece, "tenor")["shared-note"] == "shares notes with the alto in bars 2 and 4"
    assert "shared-note" not in told(piece, "soprano")
    assert says(score("C5 | D | E", "C4 | D | C", "E3 | D4 | C4"), "alto")["shared-note"] == (
        "shares a note with the bass in bar 2"
    )


def test_a_note_held_together_is_shared_once() -> None:
    piece = score("E5 | D | E | F | E", "C4 | D | D | A | C", "C4 | D - | - - | F | E", "C3 | B2 | G | D | C")
    assert told(piece, "tenor")["shared-note"].times == 2  # in bar 2, and again where the alto strikes anew in bar 3


def test_crossed_voices_are_told_from_both_sides() -> None:
    piece = score("E5 | D | E", "G4 | C4 | G4", "E4 | F | E", "C3 | D | C")
    assert says(piece, "alto")["crossing"] == "goes under the tenor in bar 2"
    assert says(piece, "tenor")["crossing"] == "goes over the alto in bar 2"
    assert "crossing" not in told(piece, "soprano")


def test_seconds_with_a_neighbour_are_told_and_those_of_suspensions_are_clashes() -> None:
    piece = score("G4 | C5 | C5", "E4 | E F G A | G", "C4 | A3 | C4")
    assert "near-neighbour" not in told(piece, "soprano")
    near = score("G4 | B4 | C5", "E4 | G - A - | G", "C4 | G3 | C4")
    assert says(near, "alto")["near-neighbour"] == "a second from the soprano in bar 2"
    tied = score("A4 | . B | - A | G", "F3 | D4 | B3 | G", mode="G mixolydian")
    assert "near-neighbour" not in told(tied, "soprano")


def test_clashes_are_told_by_their_figures() -> None:
    # ties from bar to bar over a bass that falls by step: 7-6 each time, as in every treatise
    chain = score(". E5 | - D | - C | - B4 | C5", "C4 | F4 | E | D | C")
    assert says(chain, "soprano")["clash"] == "chain of three 7-6 clashes, bars 2 to 4"
    assert says(chain, "bass")["clash-against"] == "the soprano holds three clashes against you in bars 2 to 4"
    one = score("G4 | . F4 | - E | F | E", "E4 | D4 | C4 | D | C", "C4 | A3 | C4 | B3 | C4")
    assert says(one, "soprano")["clash"] == "4-3 clash in bar 3"
    assert "clash" not in told(one, "bass")


def test_two_figures_are_told_apart() -> None:
    piece = score(". E5 | - D | E F | - E | D | C", "C4 | F4 | E | C | F | C")
    assert says(piece, "soprano")["clash"] == "two clashes: 7-6 in bar 2, 4-3 in bar 4"


def test_long_notes_beside_moving_ones_and_the_own_cantus_are_told() -> None:
    piece = score("C5 B | A B | C5", "C4 | F | C", species="2", cantus="bass", sing="soprano")
    assert says(piece, "bass")["long-notes"] == "long notes while the soprano moves"
    assert says(piece, "bass")["cantus"] == "the cantus is yours"
    assert says(piece, "soprano")["notes-to-one"] == "two notes to one"
    assert "cantus" not in told(piece, "soprano")


def test_ties_over_the_bar_line_are_counted() -> None:
    piece = score(". E5 | - D | - C | - B4 | C5", "C4 | F4 | E | D | C")
    assert says(piece, "soprano")["ties"] == "held over the bar line three times in bars 1 to 3"
    assert "ties" not in told(piece, "bass")


def test_a_line_at_the_end_of_its_voice_is_told() -> None:
    # an alto's ease ends at Bb4: nine tenths of chorale altos lie below
    assert says(score("G4 | C5 | C5 | G4"), "alto")["height"] == "lies high in bars 2 and 3"
    assert "height" not in told(score("G4 | A | G | F"), "alto")


def test_no_more_is_told_than_is_kept_in_mind() -> None:
    piece = score("C4 | F# | D5 | C#4 | . E | C", mode="C ionian")
    found = cruxes(Part(Piece(piece), 0))
    assert len(found) > MOST_TOLD
    assert [crux.weight for crux in found] == sorted((crux.weight for crux in found), reverse=True)
    assert crux_words(found) == "; ".join(crux.says for crux in found[:MOST_TOLD])


def test_every_kind_is_asked_for_by_phrases_of_its_own() -> None:
    phrases = [phrase for kind in all_kinds().values() for phrase in kind.asked]
    assert len(phrases) == len(set(phrases))
    assert all(phrase == phrase.lower() for phrase in phrases)
    assert set(all_kinds()) >= {"steps-only", "big-leap", "shared-note", "clash", "entry"}
