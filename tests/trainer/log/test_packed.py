"""What was heard, packed and brought out again exactly."""

from __future__ import annotations

import lzma
import random
from fractions import Fraction

import pytest
from handmade_takes import heard_everything, heard_line
from hypothesis import given, settings
from hypothesis import strategies as st

from audio.heard import Anchor, Gap, Heard, KeyNote, PitchFrame
from trainer.log.packed import pack, unpack

WHOLE = st.integers(-(2**40), 2**40)
LINE = st.integers(0, 7)
FRACTIONS = st.fractions(max_denominator=10_000)
RECORDS: st.SearchStrategy[Heard] = st.one_of(
    st.builds(PitchFrame, LINE, WHOLE, WHOLE, WHOLE, st.booleans(), WHOLE, WHOLE, WHOLE),
    st.builds(KeyNote, LINE, WHOLE, WHOLE, WHOLE, WHOLE),
    st.builds(Anchor, WHOLE, FRACTIONS, FRACTIONS),
    st.builds(Gap, WHOLE, WHOLE, st.text(max_size=20)),
)


@given(st.lists(RECORDS, max_size=60))
@settings(max_examples=60, deadline=None)
def test_any_records_come_out_as_they_went_in(records: list[Heard]) -> None:
    assert unpack(pack(records)) == tuple(records)


def test_every_kind_in_one_take_keeps_its_order() -> None:
    records = heard_everything()
    assert unpack(pack(records)) == tuple(records)


def test_nothing_heard_is_a_take_too() -> None:
    assert unpack(pack([])) == ()


def test_forty_four_seconds_of_frames_stay_below_forty_kilobytes() -> None:
    """A line far more restless than a voice: every field jumps at every hop. Real ones are measured in tests/trainer/takes."""
    rng = random.Random(5)
    frames = [
        PitchFrame(
            0,
            120 * k,
            560_000 + round(rng.gauss(0, 600)),
            3 + rng.randrange(4),
            k % 800 > 20,
            990 - rng.randrange(30),
            -210 + rng.randrange(5),
            -600 + rng.randrange(60),
        )
        for k in range(8_800)
    ]
    assert len(pack(frames)) < 40_000


@pytest.mark.parametrize("kept", [0.0, 0.01, 0.3, 0.7, 0.99])
def test_torn_bytes_are_refused(kept: float) -> None:
    packed = pack(heard_line(50))
    with pytest.raises(ValueError, match="damaged"):
        unpack(packed[: int(kept * len(packed))])


def test_a_changed_byte_is_noticed() -> None:
    packed = bytearray(pack(heard_line(50)))
    packed[len(packed) // 2] ^= 0x10
    with pytest.raises(ValueError, match="damaged"):
        unpack(bytes(packed))


def test_bytes_of_a_newer_version_are_refused_in_words() -> None:
    content = bytearray(lzma.decompress(pack(heard_line(3))))
    content[0] = 99
    with pytest.raises(ValueError, match="newer"):
        unpack(lzma.compress(bytes(content)))


def test_bytes_that_are_well_packed_but_senseless_are_refused() -> None:
    for content in (
        b"",
        b"\x01",
        b"\x01\x05\x01\x00\x00\x04",
        b"\x01\xff\xff\xff\xff\xff\xff\x01\x00",
        b"\x01\x01\x01\x09\x00\x01",
    ):
        with pytest.raises(ValueError, match="damaged"):
            unpack(lzma.compress(content))


def test_equal_lines_pack_to_equal_bytes() -> None:
    assert pack(heard_line(99)) == pack(heard_line(99))


def test_an_anchor_keeps_its_exact_fraction() -> None:
    anchor = Anchor(7, Fraction(1, 3), Fraction(121, 7))
    assert unpack(pack([anchor])) == (anchor,)
