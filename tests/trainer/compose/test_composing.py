"""What is composed is what was asked for, correct by both checkers, the same again, and never twice alike."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from second_opinion import second_opinion

from trainer.compose import Wish, WishError, compose, compose_batch
from trainer.formats.drill import read, write
from trainer.rules.checking import check
from trainer.rules.chords.sevenths import sevenths
from trainer.rules.piece import Piece
from trainer.rules.ruleset import Row, RuleSet, shipped
from trainer.score.model import find_voice

ROOT = Path(__file__).parents[3]
SPECIES = ("1", "2", "3", "4", "5")
MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "minor", "major")
RULES = ("strict16", "conservatoire", "tonal")

CELLS = [
    Wish(
        parts=parts,
        species=species,
        cantus_voice=Wish(parts=parts).voices[(parts + int(species)) % parts],
        line_voice=Wish(parts=parts).voices[(parts + int(species) + 1) % parts],
        mode=MODES[(3 * parts + 2 * int(species)) % 8],
        rules=RULES[(parts + int(species)) % 3],
        seed=100,
    )
    for parts in (2, 3, 4)
    for species in SPECIES
]
"""Every species in every number of parts, going round the modes, rule sets and voices."""


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
    wish = Wish(parts=2, species="5", length=8, seed=7)
    assert write(compose(wish).score) == write(compose(wish).score)
    other = Wish(parts=2, species="5", length=8, seed=8)
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


@pytest.mark.parametrize("species", ["1"])
def test_chordal_sevenths_are_there_when_asked_for_and_lawful(species: str) -> None:
    wish = Wish(species=species, cantus_voice="tenor", mode="minor", rules="tonal", sevenths=True, seed=2)
    score = compose(wish).score
    found = sevenths(Piece(score))
    assert found
    for (
        one
    ) in found:  # each falls a step in its own voice as the chord changes (Lehmann, Simple Counterpoint, lesson XII)
        line = score.lines[one.tone.voice].notes
        at = next(
            index
            for index, note in enumerate(line)
            if note.pitch.midi == one.tone.midi and note.onset_quarters * 8 == one.tone.on
        )
        assert line[at + 1].pitch.diatonic == line[at].pitch.diatonic - 1
    assert second_opinion(score) == []


def test_a_fifth_species_line_has_its_figures() -> None:
    """Ties that clash and fall, pairs of eighths by step, quarters: over a dozen lines all are there."""
    lengths: set[Fraction] = set()
    suspended = ornamented = 0
    for seed in range(3):
        made = compose(Wish(parts=2, species="5", cantus_voice="bass", line_voice="soprano", seed=seed, length=10))
        piece = Piece(made.score)
        suspended += len(piece.suspensions)
        ornamented += sum(bool(one.ornament) for one in piece.suspensions)
        lengths |= {note.length_quarters for note in made.score.lines[0].notes}
    assert {Fraction(1, 2), Fraction(1), Fraction(2), Fraction(3)} <= lengths
    assert suspended >= 6
    assert ornamented >= 1


def test_four_parts_hold_cantus_second_third_and_fourth_species_at_once() -> None:
    made = compose(Wish(species="combined", cantus_voice="alto", line_voice="tenor", seed=4))
    assert sorted(Piece(made.score).species) == ["2", "3", "4", "cantus"]
    assert made.score.fact("species") == "combined"


PROBE = """
import sys
from trainer.compose import Wish, compose
from trainer.formats.drill import write
for species in ("5", "combined"):
    wish = Wish(parts=3, species=species, cantus_voice="alto", line_voice="bass", seed=11, length=8)
    sys.stdout.write(write(compose(wish).score).decode())
"""


def pythons() -> list[str]:
    """This Python, and every other of 3.11 or later that answers by its name."""
    found = [sys.executable]
    for name in ("python3.11", "python3.12", "python3.13", "python3.14"):
        place = shutil.which(name)
        if place and subprocess.run([place, "-c", ""], capture_output=True, check=False).returncode == 0:
            found.append(place)
    return found


def test_no_hash_order_and_no_version_of_python_changes_a_byte() -> None:
    told = set()
    for hash_seed, python in enumerate([sys.executable, *pythons()], start=1):
        done = subprocess.run(
            [python, "-c", PROBE],
            capture_output=True,
            check=True,
            cwd=ROOT,
            env={"PATH": os.environ["PATH"], "PYTHONHASHSEED": str(hash_seed), "PYTHONPATH": str(ROOT)},
        )
        told.add(done.stdout)
    assert len(told) == 1
    assert told.pop().count(b"title:") == 2


def test_rules_that_contradict_one_another_are_named() -> None:
    shipped_rules = shipped("strict16")
    # all that is to avoid or of style forbidden: no line has neither a nadir twice nor stays near home
    hard = {
        name: Row(tuple("F" if one in "AS" else one for one in row.strictness), row.parameters, row.why)
        for name, row in shipped_rules.rows.items()
    }
    with pytest.raises(WishError, match=r"keeps every rule: \d+ came to an end, (all|most) of them break [a-z-]+"):
        compose(Wish(parts=2, species="5", length=8, rules=RuleSet("hard", hard)))
