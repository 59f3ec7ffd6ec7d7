"""What the callback copies and counts, and what the parent reads of it, without any driver."""

from __future__ import annotations

import numpy as np
import pytest
from callback_stand import Stand, Status
from hypothesis import given, settings
from hypothesis import strategies as st

from audio.devices import _rings
from audio.devices._side import ROOM_FRAMES

RNG = np.random.default_rng(20)


def ramp(frames: int, start: int = 0) -> np.ndarray:
    """Sound that says which frame it is: (start + k) / 2^20."""
    return ((start + np.arange(frames)) / 2**20).astype(np.float32)


@pytest.fixture
def stand() -> Stand:
    made = Stand()
    made.settle()
    return made


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(1, 2_000), min_size=1, max_size=30), st.integers(1, 8))
def test_ragged_blocks_give_the_same_sound_as_one_block(sizes: list[int], every: int) -> None:
    stand = Stand()
    stand.settle()
    total = sum(sizes)
    laid = np.stack([ramp(total, 7), -ramp(total, 7)], axis=1)
    stand.side.play(0, laid)
    sent, heard, at = [], [], 0
    for number, size in enumerate(sizes):
        sent.append(stand.call(ramp(size, at)))
        at += size
        if number % every == 0:
            heard += stand.side.read()
    heard += stand.side.read()
    assert np.array_equal(np.concatenate(sent), laid)
    assert [block.start_frame for block in heard] == list(np.cumsum([0, *(len(block.samples) for block in heard)])[:-1])
    assert np.array_equal(np.concatenate([block.channel("mic1") for block in heard]), ramp(total))
    assert np.array_equal(np.concatenate([block.samples[:, 1:] for block in heard]), laid)
    assert all(block.lost_frames_before == 0 for block in heard)


def test_the_ring_goes_round_and_old_sound_never_sounds_again(stand: Stand) -> None:
    stand.side.play(0, np.full((4_096, 2), 0.5, np.float32))
    first = stand.call(np.zeros(4_096))
    assert np.all(first == 0.5)
    for _ in range(_rings.RING_FRAMES // 4_096 - 1):
        stand.call(np.zeros(4_096))
        stand.side.read()
    assert not np.any(stand.call(np.zeros(4_096)))


def test_the_seam_of_the_ring_is_not_heard(stand: Stand) -> None:
    at = 0
    for _ in range(_rings.RING_FRAMES * 2 // 5_000):
        stand.side.play(at, np.stack([ramp(5_000, at), ramp(5_000, at)], axis=1))
        out = stand.call(ramp(5_000, at))
        (block,) = stand.side.read()
        assert np.array_equal(out[:, 0], ramp(5_000, at))
        assert np.array_equal(block.channel("mic1"), ramp(5_000, at))
        assert np.array_equal(block.channel("played2"), ramp(5_000, at))
        at += 5_000


def test_sound_that_comes_too_late_is_silent_and_counted(stand: Stand) -> None:
    stand.call(np.zeros(1_000))
    late = stand.side.play(600, np.full((1_000, 2), 0.25, np.float32))
    out = stand.call(np.zeros(1_000))
    assert late == 400
    assert stand.side.flags().late_frames == 400
    assert stand.side.flags().last_flagged_frame == 1_000
    assert np.all(out[:600] == 0.25)
    assert not np.any(out[600:])
    blocks = stand.side.read()
    assert not np.any(blocks[0].channel("played1")[:1_000])


def test_later_sound_replaces_earlier(stand: Stand) -> None:
    stand.side.play(0, np.full((512, 2), 0.25, np.float32))
    stand.side.play(256, np.full((256, 2), -0.5, np.float32))
    out = stand.call(np.zeros(512))
    assert np.all(out[:256] == 0.25)
    assert np.all(out[256:] == -0.5)


@pytest.mark.parametrize("sound", [np.zeros((10, 1)), np.zeros(10), np.full((10, 2), np.nan)])
def test_what_is_no_sound_for_these_outputs_is_refused(stand: Stand, sound: np.ndarray) -> None:
    with pytest.raises(ValueError, match="sound"):
        stand.side.play(0, sound.astype(np.float32))


def test_sound_laid_further_ahead_than_the_ring_is_refused(stand: Stand) -> None:
    stand.side.play(ROOM_FRAMES - 10, np.zeros((10, 2), np.float32))
    with pytest.raises(ValueError, match="further ahead"):
        stand.side.play(ROOM_FRAMES - 9, np.zeros((10, 2), np.float32))


def test_frames_that_the_driver_dropped_are_counted_on(stand: Stand) -> None:
    stand.call(ramp(512))
    stand.call(ramp(512, 512 + 300), Status(input_overflow=True), skipped=300)
    before, after = stand.side.read()
    assert (after.start_frame, after.lost_frames_before) == (812, 300)
    assert before.lost_frames_before == 0
    flags = stand.side.flags()
    assert (flags.overflows, flags.underflows, flags.lost_frames, flags.last_flagged_frame) == (1, 0, 300, 812)


def test_a_drop_whose_length_nobody_knows_is_a_gap_all_the_same(stand: Stand) -> None:
    stand.call(ramp(512))
    stand._stamp = 0.0  # a driver whose stamps are all zero
    stand.call(ramp(512), Status(input_overflow=True))
    assert [block.lost_frames_before for block in stand.side.read()] == [0, 1]


def test_a_flag_whose_exact_stamps_show_no_loss_is_counted_and_is_no_gap(stand: Stand) -> None:
    stand.call(ramp(512))
    stand.call(ramp(512, 512), Status(input_overflow=True, output_underflow=True))
    (block,) = stand.side.read()
    assert len(block.samples) == 1_024
    flags = stand.side.flags()
    assert (flags.overflows, flags.underflows, flags.lost_frames, flags.last_flagged_frame) == (1, 1, 0, 512)


def test_input_that_the_driver_invented_is_not_given_as_sound(stand: Stand) -> None:
    stand.call(ramp(512))
    stand.call(np.zeros(512), Status(input_underflow=True))
    stand.call(ramp(512, 1_024))
    blocks = stand.side.read()
    assert [(block.start_frame, len(block.samples), block.lost_frames_before) for block in blocks] == [
        (0, 512, 0),
        (1_024, 512, 512),
    ]
    assert stand.side.flags().lost_frames == 512


def test_invented_output_is_flagged_and_loses_nothing(stand: Stand) -> None:
    stand.call(ramp(512))
    stand.call(ramp(512, 512), Status(output_underflow=True))
    (block,) = stand.side.read()
    assert len(block.samples) == 1_024
    flags = stand.side.flags()
    assert (flags.underflows, flags.overflows, flags.lost_frames, flags.last_flagged_frame) == (1, 0, 0, 512)


def test_what_goes_wrong_while_the_stream_starts_is_not_counted() -> None:
    stand = Stand()
    for _ in range(30):
        out = stand.call(np.zeros(256), Status(input_underflow=True, output_underflow=True))
        assert not np.any(out)
    stand.settle()
    stand.call(ramp(256))
    (block,) = stand.side.read()
    assert block.start_frame == 0
    assert stand.side.flags().xruns == 0


def test_a_stream_that_never_settles_is_counted_from_its_second_second_on() -> None:
    stand = Stand()
    for _ in range(48_000 // 256 + 1 + 4):
        stand.call(np.zeros(256), Status(output_underflow=True))
    assert stand.side.flags().underflows == 4


def test_a_reader_that_comes_too_late_is_told_what_it_lost(stand: Stand) -> None:
    stand.call(ramp(1_000))
    stand.side.read()
    for _ in range(_rings.RING_FRAMES // 4_000 + 20):
        stand.call(np.zeros(4_000))
    blocks = stand.side.read()
    assert blocks[0].lost_frames_before == blocks[0].start_frame - 1_000 > 0
    assert blocks[-1].end_frame == stand.side.taken
    flags = stand.side.flags()
    assert flags.lost_frames == blocks[0].lost_frames_before
    assert flags.overflows == 1
    stand.call(ramp(1_000))
    assert stand.side.read()[0].lost_frames_before == 0


def test_the_first_sound_rises_and_what_was_played_says_so() -> None:
    stand = Stand(fade_in_frames=1_000)
    stand.settle()
    stand.call(np.zeros(3_000))  # silence does not use the rise up
    stand.side.play(3_000, np.full((2_000, 2), 0.5, np.float32))
    out = stand.call(np.zeros(2_000))
    assert out[0, 0] == 0.0
    assert np.all(np.diff(out[:1_000, 0]) > 0)
    assert np.all(np.abs(out[:1_000, 0] - 0.5 * np.arange(1_000) / 1_000) < 1e-4)
    assert np.all(out[1_000:] == 0.5)
    assert np.array_equal(np.concatenate([block.channel("played1") for block in stand.side.read()])[3_000:], out[:, 0])


def test_no_sample_passes_the_ceiling() -> None:
    stand = Stand(ceiling=0.25)
    stand.settle()
    stand.side.play(0, RNG.uniform(-3, 3, (1_000, 2)).astype(np.float32))
    assert np.max(np.abs(stand.call(np.zeros(1_000)))) == 0.25


def test_closing_ends_in_silence_without_a_step(stand: Stand) -> None:
    stand.side.play(0, np.full((2_000, 2), 0.5, np.float32))
    stand.call(np.zeros(500))
    stand.shared.header[_rings.CLOSING] = 1
    falling = stand.call(np.zeros(500))[:, 0]
    assert np.max(np.abs(np.diff(np.concatenate([[0.5], falling, [0.0]])))) < 0.5 / 400
    assert not np.any(stand.call(np.zeros(500)))


def test_a_device_with_one_output_gets_both_ears_together() -> None:
    stand = Stand(device_outputs=1)
    stand.settle()
    stand.side.play(0, np.tile(np.array([[0.5, 0.25]], np.float32), (100, 1)))
    assert np.allclose(stand.call(np.zeros(100)), 0.375)


def test_a_device_with_eight_channels_gets_two_and_gives_one() -> None:
    stand = Stand(device_outputs=8, device_inputs=4)
    stand.settle()
    stand.side.play(0, np.full((100, 2), 0.5, np.float32))
    out = stand.call(ramp(100))
    assert np.all(out[:, :2] == 0.5)
    assert not np.any(out[:, 2:])
    (block,) = stand.side.read()
    assert np.array_equal(block.channel("mic1"), ramp(100))


def test_a_fault_in_the_callback_is_silence_and_is_told(stand: Stand) -> None:
    told = []
    stand.callbacks.on_fault = lambda: told.append(True)
    stand.callbacks._shared.heard = None  # type: ignore[assignment]
    stand.side.play(0, np.full((100, 2), 0.5, np.float32))
    assert not np.any(stand.call(np.zeros(100)))
    assert told
    assert "NoneType" in stand.callbacks.fault


def test_the_drivers_delay_is_the_middle_of_its_stamps(stand: Stand) -> None:
    for _ in range(10):
        stand.call(np.zeros(512))
    assert stand.side.reported_round_trip_frames == 480  # the stand's stamps are 10 ms apart
