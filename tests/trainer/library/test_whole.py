"""The library as a whole: enough of everything, nothing twice, every exercise correct, graded and called by its crux.

Fifteen to twenty to a species is what teachers ask for (common practice, no source). Correctness is judged twice: by the program's own
rules, and by the second checker, which was written from the treatises and shares no code with them.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from fractions import Fraction
from functools import cache
from itertools import combinations, product

import pytest
from likeness import Sung, agree, like, sung
from second_opinion import second_opinion

from trainer.formats import read_path
from trainer.grading.grade import Grade, grade_part
from trainer.library import Exercise, exercises, folder
from trainer.rules.checking import check_piece
from trainer.rules.piece import Piece
from trainer.rules.ruleset import SHIPPED, shipped
from trainer.score.model import Score, find_voice
from trainer.score.naming import Names, called
from trainer.score.pitch import Pitch
from trainer.singable.part import Part

BY_HAND = 17
VOICES = {2: ("soprano", "bass"), 3: ("soprano", "alto", "bass"), 4: ("soprano", "alto", "tenor", "bass")}
MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "minor", "major")
RANGES = {"soprano": ("C4", "G5"), "alto": ("G3", "C5"), "tenor": ("C3", "G4"), "bass": ("E2", "C4")}
"""A common part-writing handout's table (read in a university's course notes)."""

Property = tuple[str, str | int]


@cache
def scores() -> tuple[tuple[Exercise, Score], ...]:
    return tuple((exercise, read_path(exercise.path)) for exercise in exercises())


@cache
def parts() -> tuple[tuple[Exercise, Part], ...]:
    return tuple((one, Part(Piece(score), find_voice(score, one.sing))) for one, score in scores())


@cache
def grades() -> tuple[tuple[Exercise, Grade], ...]:
    return tuple((exercise, grade_part(part)) for exercise, part in parts())


def properties(exercise: Exercise) -> list[Property]:
    return [
        ("species", exercise.species),
        ("parts", exercise.parts),
        ("mode", exercise.mode_word),
        ("cantus", exercise.cantus),
        ("sing", exercise.sing),
    ]


def possible_pairs() -> set[frozenset[Property]]:
    """Every two properties that one exercise can have; combined species needs two voices beside the cantus."""
    found = set()
    for count, names in VOICES.items():
        for species in ("1", "2", "3", "4", "5", "combined")[: 6 if count > 2 else 5]:
            for mode, cantus, sing in product(MODES, names, names):
                one = [("species", species), ("parts", count), ("mode", mode), ("cantus", cantus), ("sing", sing)]
                found |= {frozenset(pair) for pair in combinations(one, 2)}
    return found


def test_there_are_at_least_two_hundred_and_forty_and_fifteen_to_a_species() -> None:
    assert len(exercises()) >= 240
    cells = Counter((one.parts, one.species) for one in exercises())
    assert len(cells) == 17
    assert {cell: count for cell, count in cells.items() if not 15 <= count <= 20} == {}


def test_every_two_properties_that_can_meet_do_meet() -> None:
    met = {frozenset(pair) for one in exercises() for pair in combinations(properties(one), 2)}
    assert possible_pairs() - met == set()


def test_the_fullest_layout_is_there_in_six_versions() -> None:
    full = [one for one, part in parts() if sorted(part.piece.species) == ["2", "3", "4", "cantus"]]
    assert len(full) >= 6
    assert len({one.cantus for one in full}) >= 3


def test_titles_numbers_and_file_names_belong_together() -> None:
    assert [one.number for one in exercises()] == list(range(1, len(exercises()) + 1))
    assert len({one.title.lower() for one in exercises()}) == len(exercises())
    for one in exercises():
        slug = "-".join(one.title.lower().replace(",", "").replace("'", "").split())
        assert one.path.name == f"{one.number:03d}-{slug}.drill"


def test_nothing_else_lies_in_the_folder() -> None:
    files = {path for path in folder().rglob("*") if path.is_file()}
    assert files - {one.path for one in exercises()} == {folder() / "LICENSE"}


def test_each_is_correct_under_the_rules_that_it_names() -> None:
    wrong = {}
    for exercise, part in parts():
        rules = part.piece.score.fact("rules")
        assert rules in SHIPPED
        report = check_piece(part.piece, shipped(rules))
        if not report.correct:
            wrong[exercise.title] = [(one.rule, one.bar) for one in report.findings if one.strictness == "forbidden"]
    assert wrong == {}


def test_the_second_checker_finds_nothing_forbidden_either() -> None:
    told = {one.title: second_opinion(score) for one, score in scores() if one.number > BY_HAND}
    assert {title: found for title, found in told.items() if found} == {}


def test_each_says_the_level_crux_and_compass_that_are_computed() -> None:
    for exercise, found in grades():
        said = (exercise.level, exercise.crux, exercise.compass)
        assert said == (found.level, found.words, found.compass), exercise.title
        assert exercise.crux


def test_each_says_who_has_the_cantus_and_it_is_in_whole_notes() -> None:
    for exercise, part in parts():
        piece = part.piece
        assert piece.texture.names[piece.cantus or 0] == exercise.cantus
        bar = piece.texture.bars[0]
        assert {tone.length for tone in piece.texture.lines[piece.cantus or 0]} == {bar.end - bar.on}
        moving = set(piece.species) & {"2", "3", "4", "5"}
        expected = {exercise.species} if exercise.species in "2345" else set()
        assert moving == expected or (exercise.species == "combined" and len(moving) > 1)


def test_no_two_lines_to_sing_are_alike() -> None:
    cells: dict[tuple[str, int], list[tuple[str, Sung]]] = defaultdict(list)
    for exercise, score in scores():
        one = sung(score, find_voice(score, exercise.sing))
        cells[one.species, one.parts].append((exercise.title, one))
    alike = [
        (first[0], second[0], float(agree(first[1], second[1])))
        for cell in cells.values()
        for first, second in combinations(cell, 2)
        if like(first[1], second[1])
    ]
    assert alike == []


def test_a_line_is_like_itself_and_a_cantus_like_nothing() -> None:
    score = scores()[0][1]
    tenor, alto = sung(score, 2), sung(score, 1)
    assert like(tenor, tenor)
    assert not like(alto, alto)  # the cantus
    assert agree(tenor, alto) == Fraction(1, 11)  # the note that they share in bar 8


def test_no_cantus_serves_more_than_twelve() -> None:
    melodies = Counter(
        (
            " ".join(
                called(score, note.pitch, Names("degrees")) for note in score.lines[find_voice(score, one.cantus)].notes
            )
        )
        for one, score in scores()
    )
    assert max(melodies.values()) <= 12


def test_no_exercise_is_there_twice() -> None:
    assert len({score.digest() for _, score in scores()}) == len(scores())


def test_every_voice_stays_in_its_range() -> None:
    for exercise, score in scores():
        for line in score.lines:
            low, high = (Pitch.parse(name).midi for name in RANGES[line.name])
            heights = [note.pitch.midi for note in line.notes]
            assert low <= min(heights) <= max(heights) <= high, exercise.title


def test_every_level_of_the_ladder_has_something_to_sing() -> None:
    levels = Counter(one.level for one in exercises())
    assert set(levels) == set(range(1, 13))
    assert min(levels.values()) >= 5


def test_lines_grow_heavier_with_every_level() -> None:
    by_level: dict[int, list[float]] = defaultdict(list)
    for exercise, found in grades():
        by_level[exercise.level].append(float(found.mean_points))
    means = [sum(points) / len(points) for _, points in sorted(by_level.items())]
    assert means == sorted(means)
    assert len(set(means)) == len(means)


@pytest.mark.parametrize(
    "phrase", ["steps only", "one big leap", "shares a note with the alto", "clash in bar", "entr"]
)
def test_the_library_has_what_singers_ask_for(phrase: str) -> None:
    assert any(phrase in one.crux for one in exercises())
