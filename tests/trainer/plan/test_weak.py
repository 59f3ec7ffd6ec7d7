"""What a singer finds hard: believed slowly, named as the composer names it, and found within ten takes."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from trainer.log.outcome import Tried
from trainer.plan.weak import aim, usual_rate, weak_spots

TRUE_RATES = {
    "seconds up": 0.05, "seconds down": 0.05, "thirds up": 0.1, "thirds down": 0.1, "fourths up": 0.1, "sixths up": 0.7,
    "degree 1": 0.05, "degree 7": 0.1,
}  # fmt: skip
MET = {
    "seconds up": 3,
    "seconds down": 3,
    "thirds up": 1,
    "thirds down": 1,
    "fourths up": 1,
    "sixths up": 1,
    "degree 1": 2,
    "degree 7": 1,
}


def sung(takes: int, seed: int) -> list[Tried]:
    """What so many takes of a singer with the true rates leave in the log."""
    chance, tried, failed = Random(seed), Counter[str](), Counter[str]()
    for _ in range(takes):
        for spot, met in MET.items():
            tried[spot] += met
            failed[spot] += sum(chance.random() < TRUE_RATES[spot] for _ in range(met))
    return [Tried(spot, tried[spot], failed[spot]) for spot in sorted(tried)]


def test_the_weak_spot_is_found_within_ten_takes() -> None:
    found = [aim(sung(10, seed)) for seed in range(200)]
    assert sum(told.startswith("sixths up") for told in found) >= 190
    errors = []
    for takes in (1, 2, 5, 10):
        rates = [
            next(one.rate for one in weak_spots(sung(takes, seed)) if one.spot == "sixths up") for seed in range(200)
        ]
        errors.append(sum(abs(rate - TRUE_RATES["sixths up"]) for rate in rates) / len(rates))
    assert errors == sorted(errors, reverse=True)  # nearer with every take
    assert errors[-1] < 0.2


def test_one_failure_is_no_weakness_yet() -> None:
    assert aim([Tried("sixths up", 1, 1), Tried("seconds up", 30, 1)]) == ""


def test_who_fails_everywhere_alike_has_no_weak_spot() -> None:
    assert aim([Tried(spot, 20, 10) for spot in ("seconds up", "thirds up", "sixths down")]) == ""


def test_who_never_fails_has_none_either_and_nothing_sung_is_nothing_told() -> None:
    assert aim([Tried("sixths up", 9, 0)]) == aim([]) == ""
    assert usual_rate([]) == 0.0


def test_at_most_three_are_told_the_weakest_first_with_their_weights() -> None:
    tried = [Tried("seconds up", 100, 2), *(Tried(f"degree {k}", 10, k) for k in (4, 5, 6, 7))]
    told = aim(tried)
    assert [part.partition(" x")[0] for part in told.split(", ")] == ["degree 7", "degree 6", "degree 5"]


@pytest.mark.parametrize("told", [aim(sung(10, 3)), "7-6 clashes x2, sixths down x9, degree 5 x1"])
def test_the_composer_understands_what_is_told(told: str) -> None:
    from trainer.aim.wishes import read_aim

    assert len(read_aim(told).spots) == len(told.split(", "))
