"""What is no number is lost sound, however the blocks are cut."""

from __future__ import annotations

import numpy as np
import pytest

from audio.block import Block, Sieve

RATE_HZ = 8_000


def sieved(samples: np.ndarray, *sizes: int) -> list[Block]:
    sieve, at, found = Sieve(), 0, []
    for size in (*sizes, len(samples)):
        part = samples[at : at + size, None].astype(np.float32)
        if len(part):
            found += sieve.feed(Block(part.copy(), ("mic1",), at, RATE_HZ))
        at += size
    return found


def test_sound_without_a_fault_goes_through_as_it_is() -> None:
    (block,) = Sieve().feed(Block(np.ones((100, 1), np.float32), ("mic1",), 7, RATE_HZ, lost_frames_before=3))
    assert (len(block.samples), block.start_frame, block.lost_frames_before) == (100, 7, 3)


@pytest.mark.parametrize("sizes", [(), (400,), (500,), (550, 50), (100, 100, 100, 100, 100, 100, 100)])
@pytest.mark.parametrize("wrong", [np.nan, np.inf, -np.inf])
def test_a_stretch_of_no_numbers_is_counted_as_lost_before_what_follows(sizes: tuple[int, ...], wrong: float) -> None:
    samples = np.arange(1_000.0)
    samples[400:600] = wrong
    found = sieved(samples, *sizes)
    assert np.array_equal(
        np.concatenate([block.samples[:, 0] for block in found]),
        np.concatenate((np.arange(400), np.arange(600, 1_000))),
    )
    assert sum(block.lost_frames_before for block in found) == 200
    assert next(block for block in found if block.lost_frames_before).start_frame == 600
