"""How a chord was held: in tune against the reference asked for, and steady, sinking or rising."""

from __future__ import annotations

import pytest
from heard_frames import Sung, frames
from written import score

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import Take
from trainer.reports.tuned import chord_words, worst_chord
from trainer.score.model import Score
from trainer.score.naming import LETTERS, Names
from trainer.takes.judging import judge
from trainer.tuning.chords import chords_of, chords_score
from trainer.tuning.held import HeldChord, held_chords
from trainer.tuning.places import places, says_called

PIECE = score("G4 | A4 // E4 | F4 // C4 | C4 // C3 | F3")
CHORDS = chords_score(PIECE, 1, places(PIECE, 1, ("third",)))
E4 = 64.0


def take(*cents: float, against: str = "equal", chords: Score = CHORDS, midi: float = E4) -> Take:
    """The one chord held for four beats, each beat so many cents off; None for silence."""
    heard = [Sung(4.05 + k, 5.05 + k - (k == 3) * 0.1, midi + one / 100) for k, one in enumerate(cents)]
    return judge(chords, [1], frames(heard, 9.0), settings=Settings(against=against)).takes[0]


def held(one: Take, chords: Score = CHORDS) -> HeldChord:
    return held_chords(one, chords_of(chords))[0]


@pytest.mark.parametrize(
    ("cents", "way", "moved"),
    [((0, 0, 0, 0), "steady", 0), ((0, -7, -14, -21), "sank", -21), ((-10, -3, 4, 11), "rose", 21), ((4, -3, 3, -4), "steady", -4)],
)  # fmt: skip
def test_a_note_that_sinks_or_rises_while_it_is_held_is_told(cents: tuple[float, ...], way: str, moved: int) -> None:
    one = held(take(*cents))
    assert one.way == way
    assert one.moved_cents == pytest.approx(moved, abs=6)


def test_a_pure_third_is_low_against_equal_and_in_tune_against_pure() -> None:
    equal, pure = (held(take(-14, -14, -14, -14, against=against)) for against in ("equal", "pure"))
    assert equal.cents == pytest.approx(-14, abs=1)
    assert pure.cents == pytest.approx(0, abs=1)
    assert chord_words(equal, LETTERS) == "third of C major, bar 1 of the piece: held, 14 cents flat, steady"
    assert chord_words(pure, LETTERS) == "third of C major, bar 1 of the piece: held, in tune, steady"


def test_a_chord_is_called_by_the_readers_own_letters() -> None:
    assert says_called("third of F# minor over A, bar 4 (printed 8) of the piece", Names("german")) == (
        "third of Fis minor over A, bar 4 (printed 8) of the piece"
    )
    assert says_called("leading note to B", Names("german")) == "leading note to H"
    assert says_called("fifth of Bb", Names("german")) == "fifth of B"
    assert says_called("fifth of Bb major over F#", Names("fixed-do")) == "fifth of sib major over fa#"
    assert says_called("7-6 suspension, bar 2 of the piece", Names("german")) == "7-6 suspension, bar 2 of the piece"
    off = take(0, 0, 0, 0, midi=58.0)
    assert worst_chord(off, CHORDS, Names("german")).endswith("off, b heard")  # B flat
    for kind in ("degrees", "sol-fa", "letters"):
        assert says_called("third of F# minor", Names(kind)) == "third of F# minor"


def test_another_voices_note_in_the_chord_is_told_with_whose_it_was() -> None:
    one = held(take(0, 0, 0, 0, midi=60.0))
    assert (one.sign, one.sung) in {(Sign.PULLED, "C4"), (Sign.OFF, "C4")}
    assert "C4" in chord_words(one, LETTERS) or "tenor" in chord_words(one, LETTERS)
    assert "steady" not in chord_words(one, LETTERS)


def test_nothing_heard_is_nothing_heard_and_no_chord_is_guessed() -> None:
    silent = take()
    assert silent.status == "nothing heard"
    assert held(silent).cents is None
    assert worst_chord(silent, CHORDS, LETTERS) == ""


def test_the_chord_that_most_wants_it_is_named_and_none_where_all_were_held() -> None:
    assert worst_chord(take(0, 0, 0, 0), CHORDS, LETTERS) == ""
    assert (
        worst_chord(take(-40, -40, -40, -40), CHORDS, LETTERS)
        == "third of C major, bar 1 of the piece: 40 cents flat, steady"
    )
    assert worst_chord(take(0, -7, -14, -21), CHORDS, LETTERS).endswith("while it was held")
