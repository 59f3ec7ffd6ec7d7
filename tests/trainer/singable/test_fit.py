"""Where a line fits a voice: another octave before another key, the nearest key before a farther one."""

from __future__ import annotations

import pytest

from trainer.singable.fit import Fit, fit, outside

TENOR = (54, 61)  # F#3 to C#4


@pytest.mark.parametrize(
    ("compass", "found"),
    [
        ((48, 64), Fit(0, 0, 0)),  # it lies within
        ((57, 74), Fit(1, 0, 0)),  # a child, or a woman, an octave higher
        ((45, 58), Fit(0, -3, 0)),  # a low voice: a minor third down
        ((41, 58), Fit(-1, 0, 0)),  # a lower one has it an octave down
        ((59, 66), Fit(0, 5, 0)),  # exactly a fifth and a half, one place only
        ((58, 63), Fit(0, 2, 2)),  # a fourth does not hold it: two semitones lie out wherever it is put
    ],
)
def test_the_nearest_place_is_chosen(compass: tuple[int, int], found: Fit) -> None:
    assert fit(TENOR, compass) == found
    assert found.outside == outside(TENOR, compass, 12 * found.octaves + found.semitones)


def test_an_octave_is_as_right_as_the_written_one_and_goes_before_another_key() -> None:
    assert fit(TENOR, (57, 74)) == Fit(1, 0, 0)
    assert fit(TENOR, (36, 50)) == Fit(-1, 0, 0)
    assert fit((40, 61), (48, 64)) == Fit(0, 3, 5)  # of all that are as bad, the nearest to the written key
