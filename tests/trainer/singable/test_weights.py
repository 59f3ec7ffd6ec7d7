"""Weights fitted to bars that were sung: known ones are found again, and nothing is claimed of what was hardly met."""

from __future__ import annotations

import math
from fractions import Fraction
from random import Random

import pytest

from trainer.singable.weights import ANY_NOTE, LEAST, SungBar, fitted

KNOWN = {"leap": 3.0, "entry": 1.0, "rub": 0.25, ANY_NOTE: 0.5}
BASE = 0.08


def bars(seed: int, count: int, takes: int, known: dict[str, float] = KNOWN) -> list[SungBar]:
    """Bars with random contents, held or failed by the model's own law with weights that are known."""
    chance = Random(seed)
    found = []
    for _ in range(count):
        points = {kind: Fraction(chance.choice((0, 0, 1, 2))) for kind in known if kind != ANY_NOTE} | {
            ANY_NOTE: Fraction(2)
        }
        hazard = BASE * sum(float(points[kind]) * weight for kind, weight in known.items())
        failed = sum(chance.random() < 1 - math.exp(-hazard) for _ in range(takes))
        found.append(SungBar(points, takes - failed, failed))
    return found


def misses(seed: int, count: int, takes: int) -> dict[str, float]:
    """How far each weight found lies from the known one, both against the mean of all by how much of each was sung."""
    sung = bars(seed, count, takes)
    told = fitted(sung)
    met = {kind: sum(float(bar.points[kind]) for bar in sung) for kind in KNOWN}
    mean = sum(met[kind] * weight for kind, weight in KNOWN.items()) / sum(met.values())
    return {kind: abs(float(told[kind]) - weight / mean) for kind, weight in KNOWN.items()}


@pytest.mark.parametrize("seed", range(4))
def test_the_fit_finds_known_weights_again(seed: int) -> None:
    assert max(misses(seed, 200, 60).values()) < 0.25


def test_the_fit_comes_nearer_with_more_takes() -> None:
    few, some, many = (sum(sum(misses(seed, 80, takes).values()) for seed in range(4)) for takes in (1, 8, 64))
    assert many < some / 1.5 < few / 2.25


def test_a_kind_that_was_hardly_met_keeps_the_weight_of_paper() -> None:
    rare = [*bars(1, 200, 6), SungBar({"tie": Fraction(1), ANY_NOTE: Fraction(2)}, 1, 0)]
    assert float(fitted(rare)["tie"]) == pytest.approx(1.0, abs=0.1)


def test_what_never_fails_though_often_met_weighs_next_to_nothing_and_never_less() -> None:
    told = fitted(bars(2, 400, 20, {**KNOWN, "rub": 0.0}))
    assert LEAST <= told["rub"] < Fraction(1, 4)


def test_weights_do_not_depend_on_the_order_of_the_bars() -> None:
    sung = bars(3, 60, 5)
    assert fitted(sung) == fitted(sung[::-1])


def test_every_danger_that_is_fitted_has_a_name_for_people() -> None:
    from trainer.formats import read_path
    from trainer.library import exercises
    from trainer.reports.weights import CALLED
    from trainer.singable.danger import danger_spots

    kinds = set()
    for drill in exercises()[::40]:
        score = read_path(drill.path)
        kinds |= {
            one.kind
            for line in range(len(score.lines))
            for spot in danger_spots(score, line)
            for one in spot.dangers
            if one.weight
        }
    assert kinds - {"cross-relation", "altered-note"} <= set(CALLED)
