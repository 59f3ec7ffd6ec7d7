"""Marked notes hold more of a simulated follower's slips than chance, and more still with weights fitted to that follower's takes."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from made_up_music import made_up
from six_singers import FOLLOWER, LENDER, Company, Singer
from written_music import write_musicxml

from trainer.formats import read_path
from trainer.rules.piece import FREE, Piece
from trainer.singable.by_bar import danger_points
from trainer.singable.danger import spots_of
from trainer.singable.part import Part
from trainer.singable.weights import PAPER, SungBar, Weights, fitted

TAKES = 20
Line = tuple[Part, list[dict[int, str | None]]]


def lines(singer: Singer, seeds: range, tmp_path_factory: pytest.TempPathFactory) -> list[Line]:
    found = []
    for seed in seeds:
        piece = made_up(np.random.default_rng(seed))
        score = read_path(write_musicxml(piece, tmp_path_factory.mktemp("made") / "x.musicxml"))
        ruled = Piece(score, FREE)
        for index in (1, 2):
            voice = piece.voices[index]
            company = Company(tuple(name for name in piece.voices if name != voice))
            takes = [singer.rule(piece, voice, company, Random(f"{seed} {take}")) for take in range(TAKES)]
            found.append((Part(ruled, index), takes))
    return found


def held(sung: list[Line], weights: Weights) -> float:
    """The share of slips on marked notes."""
    marked = total = 0
    for part, takes in sung:
        marks = {spot.index for spot in spots_of(part, weights) if spot.marked}
        total += sum(map(len, takes))
        marked += sum(len(marks & set(take)) for take in takes)
    return marked / total


def taught(sung: list[Line]) -> Weights:
    """Weights from three takes of each line, of which only held and failed bars are known."""
    bars = []
    for part, takes in sung:
        bar_of = [part.texture.place(tone.on).bar for tone in part.line]
        for bar, points in danger_points(part).items():
            failed = sum(any(bar_of[k] == bar for k in take) for take in takes[:3])
            bars.append(SungBar(points, 3 - failed, failed))
    return Weights(dangers=tuple(fitted(bars).items()))


@pytest.mark.parametrize(
    ("singer", "paper", "own"), [(FOLLOWER, 0.33, 0.4), (LENDER, 0.58, 0.68)], ids=["follower", "lender"]
)
def test_marks_hold_slips_and_more_of_them_once_fitted_to_the_singer(
    singer: Singer, paper: float, own: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    fresh = lines(singer, range(20, 26), tmp_path_factory)
    weights = taught(lines(singer, range(6), tmp_path_factory))
    assert held(fresh, PAPER) > paper
    assert held(fresh, weights) > max(own, held(fresh, PAPER))


def test_as_many_marks_at_random_hold_no_more_than_their_share(tmp_path_factory: pytest.TempPathFactory) -> None:
    sung = lines(FOLLOWER, range(20, 26), tmp_path_factory)
    chance = Random(3)
    marked = total = 0
    for part, takes in sung:
        count = len(part.line)
        marks = set(chance.sample(range(count), count // 5))
        total += sum(map(len, takes))
        marked += sum(len(marks & set(take)) for take in takes)
    assert marked / total < 0.25 < held(sung, PAPER)
