"""Sums for compiled bodies, run as plain Python beside numpy's own."""

from __future__ import annotations

import numpy as np

from audio.compiled.sums import row_sum, short_sum


def test_sums_are_numpys_to_the_last_bit_at_every_length():
    rng = np.random.default_rng(1)
    for count in (*range(1, 140), 176, 184, 240, 256, 257, 368, 480, 513, 720, 1000, 1024):
        rows = rng.normal(size=(2, count)) * 10.0 ** rng.integers(-6, 6, (2, count))
        for row, total in zip(rows.tolist(), np.add.reduce(rows, axis=1), strict=True):
            assert row_sum(row, count) == total
            if count <= 128:
                assert short_sum(row, count) == total
