"""Sums of floats in the order of numpy's own, for compiled bodies. Not steps.

numpy adds up a row in eight partial sums and halves what is longer than 128, so that errors grow slowly; a body that is to give
the last bit of ``np.add.reduce`` over a last axis must do the same. Source: Higham (1993), "The accuracy of floating point
summation", SIAM J. Sci. Comput. 14(4); which pieces numpy takes was found by trying, and ``tests/audio/test_sums.py`` holds it to it.
"""

from __future__ import annotations

from typing import Any


def short_sum(values: Any, count: int) -> float:
    """Sum of the first *count* of a row, at most 128 of them, as numpy adds them."""
    return _up_to_128(values, 0, count)


def row_sum(values: Any, count: int) -> float:
    """The same of up to 1,024."""
    if count <= 512:
        return _up_to_512(values, 0, count)
    half = count // 2
    half -= half % 8
    return _up_to_512(values, 0, half) + _up_to_512(values, half, count - half)


def _up_to_512(values: Any, first: int, count: int) -> float:
    if count <= 256:
        return _up_to_256(values, first, count)
    half = count // 2
    half -= half % 8
    return _up_to_256(values, first, half) + _up_to_256(values, first + half, count - half)


def _up_to_256(values: Any, first: int, count: int) -> float:
    if count <= 128:
        return _up_to_128(values, first, count)
    half = count // 2
    half -= half % 8
    return _up_to_128(values, first, half) + _up_to_128(values, first + half, count - half)


def _up_to_128(values: Any, first: int, count: int) -> float:
    if count < 8:
        few = 0.0
        for at in range(first, first + count):
            few += values[at]
        return few
    a, b, c, d = values[first], values[first + 1], values[first + 2], values[first + 3]
    e, f, g, h = values[first + 4], values[first + 5], values[first + 6], values[first + 7]
    whole = count - count % 8
    for at in range(first + 8, first + whole, 8):
        a += values[at]
        b += values[at + 1]
        c += values[at + 2]
        d += values[at + 3]
        e += values[at + 4]
        f += values[at + 5]
        g += values[at + 6]
        h += values[at + 7]
    total: float = ((a + b) + (c + d)) + ((e + f) + (g + h))
    for at in range(first + whole, first + count):
        total += values[at]
    return total


SHORT_SUM = (_up_to_128, short_sum)
ROW_SUM = (_up_to_128, _up_to_256, _up_to_512, row_sum)
