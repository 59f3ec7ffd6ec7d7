"""Parallels of Bach's chorales, read in place from the music21 package, are those that music21 finds; every other one is explained."""

from __future__ import annotations

import pytest
from chorale_parallels import KINDS, Compared, chorales, compare

SAMPLE = ("bwv123.6", "bwv139.6", "bwv153.1", "bwv154.8", "bwv244.29-a")
"""Small, and among them are all four kinds of parallels and two repeats."""


@pytest.fixture(scope="module")
def compared() -> dict[str, Compared]:
    by_name = {path.stem: path for path in chorales()}
    found = {name: compare(by_name[name]) for name in SAMPLE}
    assert None not in found.values()
    return {name: one for name, one in found.items() if one is not None}


@pytest.mark.parametrize("name", SAMPLE)
def test_every_difference_from_music21_is_of_a_known_kind(compared: dict[str, Compared], name: str) -> None:
    assert compared[name].unexplained == ()
    assert set(compared[name].kinds) <= set(KINDS)


def test_the_sample_has_parallels_to_find(compared: dict[str, Compared]) -> None:
    ours = sum((one.ours for one in compared.values()), start=type(compared[SAMPLE[0]].ours)())
    theirs = sum((one.theirs for one in compared.values()), start=type(compared[SAMPLE[0]].theirs)())
    assert ours == theirs
    assert {motion for motion, _ in ours} == {"similar", "contrary"}
