"""What is composed is what was asked for, correct by both checkers, the same again, and never twice alike."""

from __future__ import annotations

from fractions import Fraction

import pytest
from second_opinion import second_opinion

from trainer.compose import Wish, compose, compose_batch
from trainer.formats.drill import read, write
from trainer.rules.checking import check
from trainer.rules.piece import Piece
from trainer.rules.ruleset import shipped
from trainer.score.model import find_voice

SPECIES = ("1", "2", "3", "4", "5")
MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "minor", "major")
RULES = ("strict16", "conservatoire", "tonal")

CELLS = [
    Wish(
        parts=parts,
        species=species,
        cantus_voice=Wish(parts=parts).voices[(parts + int(species)) % parts],
        line_voice=Wish(parts=parts).voices[(parts + int(species) + 1) % parts],
        mode=MODES[(3 * parts + 2 * int(species) + turn) % 8],
        rules=RULES[(parts + int(species) + turn) % 3],
        seed=100 + turn,
    )
    for parts in (2, 3, 4)
    for species in SPECIES
    for turn in (0, 1)
]
"""Every species in every number of parts twice, going round the modes, rule sets and voices."""


def named(wish: Wish) -> str:
    return f"{wish.parts}-{wish.species}-{wish.mode}-{wish.rules}"


@pytest.mark.parametrize("wish", CELLS, ids=named)
def test_an_exercise_is_as_asked_and_correct_by_both_checkers(wish: Wish) -> None:
    made = compose(wish)
    score = read(write(made.score), "exercise.drill")
    assert score.digest() == made.score.digest()
    piece = Piece(score)
    cantus, line = find_voice(score, wish.cantus_voice), find_voice(score, wish.line_voice)
    assert piece.cantus == cantus
    assert piece.species[line] == wish.species
    assert piece.mode is not None
    assert piece.mode.name == wish.mode
    assert len(score.lines) == wish.parts
    report = check(score, shipped(str(wish.rules)))
    assert [one.says for one in report.findings if one.strictness == "forbidden"] == []
    assert second_opinion(score) == []


def test_the_same_wish_gives_the_same_bytes_and_another_seed_other_music() -> None:
    wish = Wish(parts=3, species="5", cantus_voice="bass", line_voice="alto", seed=7)
    assert write(compose(wish).score) == write(compose(wish).score)
    other = Wish(parts=3, species="5", cantus_voice="bass", line_voice="alto", seed=8)
    assert compose(wish).score.digest() != compose(other).score.digest()


def test_of_a_batch_no_two_are_alike() -> None:
    made = list(compose_batch(Wish(parts=2, species="1", length=8, final="D", title="Gate"), 12))
    assert len({one.score.digest() for one in made}) == 12
    assert [one.score.title for one in made[:2]] == ["Gate 1", "Gate 2"]


def test_the_cantus_stands_in_whole_notes_in_its_voice() -> None:
    made = compose(Wish(parts=4, species="3", cantus_voice="tenor", line_voice="soprano", melody="fux-d", seed=3))
    tenor = made.score.lines[2]
    assert [note.length_quarters for note in tenor.notes] == [Fraction(4)] * 11
    steps = [b.pitch.diatonic - a.pitch.diatonic for a, b in zip(tenor.notes, tenor.notes[1:], strict=False)]
    assert steps == [2, -1, -1, 3, -1, 2, -1, -1, -1, -1]  # Fux 1725, the cantus on D
