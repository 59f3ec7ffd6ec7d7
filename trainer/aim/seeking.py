"""Candidates of the generator, graded one after another until one answers to the aim.

How many are looked at is counted, never timed, so that a seed gives the same exercise on every machine.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from trainer.aim.placing import placed
from trainer.aim.spots import CLASH
from trainer.aim.wishes import WHERE, Aim, level_words, missed, nearness
from trainer.compose import Composed, Wish, WishError, compose
from trainer.compose.wish import refuse_nonsense
from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL
from trainer.grading.grade import Grade, grade_part, with_grade
from trainer.grading.ladder import Place, level_at, rung
from trainer.rules.piece import CANTUS, Piece
from trainer.rules.ruleset import RuleSet, shipped
from trainer.score.model import VOICES_BY_PARTS, Score, find_voice
from trainer.singable.part import Part

CANDIDATES = {2: 32, 3: 16, 4: 8}
"""How many are composed for one wish, by parts: a few seconds at most (our own)."""

FRESH_CANDIDATES = 24

MOST_BARREN = 2
"""Seeds of a batch that may find nothing."""

REACH = 4
"""A line's own weight moves it hardly ever further from the usual level of its layout (``tests/bench/grading``)."""

NEAR = 1
"""How far from the level asked for the usual level of a layout may lie to be tried unasked."""

TOP_BY_LAYOUT = 8
"""Above it a heavy line makes the level rather than the layout."""

SEEDS_APART = 64

NEEDS = {
    "clash": ("4", "5"),
    "ties": ("4", "5"),
    "entry": ("2", "3", "4", "5"),
    "notes-to-one": ("2", "3", "5"),
    "long-notes": (CANTUS, "1"),
    "cantus": (CANTUS,),
    "seventh": ("1", "2", "3", "5"),
}
"""What the singer's voice must be for a crux to be possible at all."""


@dataclass(frozen=True, slots=True)
class Sought:
    """An exercise as composed but with its grade in its headers, and the grade."""

    made: Composed
    grade: Grade

    @property
    def score(self) -> Score:
        """The music."""
        return self.made.score


def seek(aim: Aim, wish: Wish) -> Sought:
    """The exercise of the layout of *wish* that comes nearest to *aim* and keeps all its musts.

    Raises
    ------
    WishError
        Where the aim clashes with the layout, where the generator refuses it, or where no candidate keeps all musts.
    """
    refuse_nonsense(wish)
    _refuse_clashes(aim, wish)
    seeds = (wish.seed * SEEDS_APART + number for number in range(CANDIDATES[wish.parts]))
    found, near = _nearest(aim, (replace(wish, seed=seed) for seed in seeds))
    if near:
        missing = " and ".join(repr(one) for one in near)
        others = " beside all else" if _musts(aim) > len(near) else ""
        raise WishError(
            f"none of {CANDIDATES[wish.parts]} exercises of this kind kept {missing}{others}",
            WHERE,
            f"without {missing} there is one of level {found.grade.level}, {' to '.join(found.grade.compass.split())} "
            f"({found.grade.words}): give up {near[0]!r}, or try another --seed",
        )
    return found


def _musts(aim: Aim) -> int:
    return (aim.levels is not None) + len(aim.crux) + (aim.compass is not None)


def seek_batch(aim: Aim, wish: Wish, count: int) -> Iterator[Sought]:
    """*count* exercises for one aim, no two alike; seeds go up from the wish's, over the few that find nothing.

    Raises
    ------
    WishError
        As :func:`seek`.
    """
    seen: set[str] = set()
    seed, barren = wish.seed, 0
    while len(seen) < count:
        try:
            found = seek(aim, replace(wish, seed=seed))
        except WishError:
            barren += 1
            if barren > MOST_BARREN:
                raise
            continue
        finally:
            seed += 1
        if found.score.digest() not in seen:
            seen.add(found.score.digest())
            yield found


def fresh(levels: range, *, voices: Sequence[str], seed: int) -> Sought:
    """A new exercise of a level for one of *voices*, of whatever layout *seed* chooses; of a level beside it where chance is against it.

    Raises
    ------
    WishError
        When the voices have no such level, or no candidate comes near it.
    """
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    found, near = _nearest(Aim(levels), islice(_layouts(levels, voices, rng), FRESH_CANDIDATES))
    if near and not levels[0] - 1 <= found.grade.level <= levels[-1] + 1:
        raise WishError(
            f"none of {FRESH_CANDIDATES} new exercises came near {level_words(levels)}",
            "--level",
            "try again, or ask for a level beside it",
        )
    return found


def _nearest(aim: Aim, wishes: Iterator[Wish]) -> tuple[Sought, tuple[str, ...]]:
    """The nearest of the candidates and the musts that it misses; without weak spots the first that misses none."""
    best: Sought | None = None
    best_near = None
    refused: WishError | None = None
    for wish in wishes:
        try:
            made = compose(wish)
        except WishError as err:
            refused = err
            continue
        line, score = find_voice(made.score, wish.sung), made.score
        if aim.compass is not None:
            score = placed(
                score, line, aim.compass, wish.rules if isinstance(wish.rules, RuleSet) else shipped(wish.rules)
            )
        part = Part(Piece(score), line)
        found = grade_part(part)
        near = nearness(aim, found, part)
        if best_near is None or near > best_near:
            best, best_near = Sought(replace(made, score=with_grade(score, found)), found), near
        if not aim.spots and not missed(aim, found):
            break
    if best is None:
        raise refused or WishError("there is no layout of this kind", "", "ask for another level or voice")
    return best, missed(aim, best.grade)


def _layouts(levels: range, voices: Sequence[str], rng: random.Random) -> Iterator[Wish]:
    """Layouts whose usual level lies near the levels, in the order that chance gives them, again and again."""
    reach = REACH if levels[0] > TOP_BY_LAYOUT else NEAR
    near = [wish for wish in every_layout() if wish.sung in voices and _reaches(wish, levels, reach)]
    if not near:
        steps = [usual_level(wish) for wish in every_layout() if wish.sung in voices]
        raise WishError(
            f"{level_words(levels)} clashes with the voice {', '.join(voices)}",
            "--level, --voice",
            f"its exercises have levels {max(LOWEST_LEVEL, min(steps) - NEAR)} to {HIGHEST_LEVEL}",
        )
    while True:
        wish = near[int(rng.random() * len(near))]
        modes = MODES_BY_RULES[str(wish.rules)]
        mode = modes[int(rng.random() * len(modes))]
        yield replace(wish, mode=mode, seed=int(rng.random() * 2**31))


MODES_BY_RULES = {
    "strict16": ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian"),
    "tonal": ("minor", "major"),
}
"""Church modes go by the strict rules, minor and major by the tonal ones (our own choice for exercises unasked)."""


def every_layout() -> tuple[Wish, ...]:
    """Parts, species, cantus, moving voice and singer's voice (the moving one; in first species the cantus too), under both rule sets."""
    found = []
    for parts, names in VOICES_BY_PARTS.items():
        for species in ("1", "2", "3", "4", "5", "combined")[: 6 if parts > 2 else 5]:
            for rules in MODES_BY_RULES:
                for cantus in names:
                    for line in (name for name in names if name != cantus):
                        singers = (line, cantus) if species == "1" else (line,)
                        found += [Wish(parts, species, cantus, line, sing, rules=rules) for sing in singers]
    return tuple(found)


def kind_of_sung(wish: Wish) -> str:
    """What the singer's voice is: "cantus", "1" to "5", or "" where chance decides (combined species)."""
    if not isinstance(wish.species, str):
        return wish.species[wish.voices.index(wish.sung)]
    if wish.sung == wish.cantus_voice:
        return CANTUS
    if wish.species == "combined":
        return ""
    return wish.species if wish.sung == wish.line_voice else "1"


def usual_rung(wish: Wish) -> int:
    """The rung of the singer's voice in a layout."""
    kind = kind_of_sung(wish) or "3"
    species = wish.species if isinstance(wish.species, str) else "combined"
    movers = wish.parts - 1 if species == "combined" else int(species != "1")
    inner = wish.sung not in (wish.voices[0], wish.voices[-1])
    return rung(Place(wish.parts, kind, movers, inner, wish.sevenths))


def usual_level(wish: Wish) -> int:
    """The level that a line of usual weight has in a layout."""
    return level_at(usual_rung(wish))


def _reaches(wish: Wish, levels: range, reach: int) -> bool:
    usual = usual_level(wish)
    return usual - reach <= levels[-1] and levels[0] <= usual + reach


def _refuse_clashes(aim: Aim, wish: Wish) -> None:
    """Raises WishError where the aim cannot be had in the layout, whatever is composed."""
    if aim.levels is not None and not _reaches(wish, aim.levels, REACH):
        usual = usual_level(wish)
        low, high = max(LOWEST_LEVEL, usual - REACH), min(HIGHEST_LEVEL, usual + REACH)
        species = wish.species if isinstance(wish.species, str) else " ".join(wish.species)
        raise WishError(
            f"{level_words(aim.levels)} clashes with the {wish.sung} of {wish.parts} parts in species {species}",
            f"{WHERE}, --parts, --species",
            f"such a line has levels {low} to {high}",
        )
    kind = kind_of_sung(wish)
    asked = [(typed, one) for typed, one in aim.crux] + [
        (spot.typed, "clash") for spot in aim.spots if spot.kind == CLASH
    ]
    for typed, crux in asked:
        if kind and kind not in NEEDS.get(crux, (kind,)):
            raise WishError(
                f"{typed!r} clashes with the {wish.sung}, which is {_kind_words(kind)} here",
                f"{WHERE}, --species",
                f"ask for {_needed(crux)}",
            )
        if crux == "seventh" and not wish.sevenths:
            raise WishError(f"{typed!r} clashes with chords without sevenths", WHERE, "add --sevenths, in four parts")


def _kind_words(kind: str) -> str:
    return "the cantus" if kind == CANTUS else f"of species {kind}"


def _needed(crux: str) -> str:
    words = [_kind_words(kind) for kind in NEEDS[crux]]
    return f"a voice that is {' or '.join(words)}"
