"""What was heard, packed small and exactly: columns of differences, compressed. No numpy, so that any build unpacks it.

Layout of version 2, all before LZMA (xz container, which checks itself by CRC-64):
the number of records; the kind of each as (kind, line, count) runs; then one column after another of each kind's fields, each value as
the zigzag of its difference from what the column's rule expects, in seven-bit groups (the low ones first, the high bit saying that more
follow). A regular hop costs nothing, since the second difference of the frames is zero.

Source of the number coding: LEB128 and zigzag as in the Protocol Buffers encoding (public specification).
"""

from __future__ import annotations

import lzma
from collections.abc import Iterable, Sequence
from fractions import Fraction

from audio.heard import NO_ECHO_DB10, Anchor, Gap, Heard, KeyNote, PitchFrame

VERSION = 2
MOST_RECORDS = 20_000_000  # a day of sound at 5 ms; beyond it the bytes are not ours

_FILTERS = [
    {"id": lzma.FILTER_LZMA2, "preset": 6, "dict_size": 1 << 20, "lc": 0, "lp": 0, "pb": 0}
]  # 12 MB of work space
_KINDS: tuple[type[Heard], ...] = (PitchFrame, KeyNote, Anchor, Gap)


def pack(heard: Iterable[Heard]) -> bytes:
    """Every record in its order as bytes."""
    records = list(heard)
    out = bytearray([VERSION])
    _number(out, len(records))
    runs = _runs(records)
    _number(out, len(runs))
    for kind, line, count in runs:
        for value in (kind, line, count):
            _number(out, value)
    frames = [record for record in records if isinstance(record, PitchFrame)]
    _steady(out, [frame.centre_frame for frame in frames])
    for column in (
        [frame.f0_c100 for frame in frames],
        [frame.uncertainty_cents for frame in frames],
        [int(frame.voiced) for frame in frames],
        [frame.confidence for frame in frames],
        [frame.level_db10 for frame in frames],
        # the residual follows the level, so their distance is the smaller number
        [frame.level_db10 - frame.residual_db10 for frame in frames],
        [frame.echo_db10 for frame in frames],
    ):
        _differences(out, column)
    for record in records:
        _other(out, record)
    return lzma.compress(bytes(out), format=lzma.FORMAT_XZ, filters=_FILTERS)


def unpack(packed: bytes) -> tuple[Heard, ...]:
    """The records of :func:`pack`.

    Raises
    ------
    ValueError
        When the bytes are not whole or were packed by a newer version.
    """
    try:
        numbers = _Numbers(lzma.decompress(packed))
    except (lzma.LZMAError, EOFError) as err:
        raise ValueError("the stored pitch line is damaged") from err
    version = numbers.byte()
    if not 1 <= version <= VERSION:
        raise ValueError(f"the stored pitch line is of version {version}, newer than this program")
    total = numbers.next()
    runs = [(numbers.next(), numbers.next(), numbers.next()) for _ in range(numbers.next())]
    if total > MOST_RECORDS or sum(count for _, _, count in runs) != total:
        raise ValueError("the stored pitch line is damaged")
    count = sum(count for kind, _, count in runs if kind == 0)
    centre = numbers.steady(count)
    columns = [numbers.differences(count) for _ in range(6)]
    # version 1 knew nothing of our own sound taken away
    columns.append(numbers.differences(count) if version > 1 else [NO_ECHO_DB10] * count)
    out: list[Heard] = []
    at = 0
    for kind, line, run in runs:
        for _ in range(run):
            if kind == 0:
                f0, uncertainty, voiced, confidence, level, below, echo = (column[at] for column in columns)
                out.append(
                    PitchFrame(line, centre[at], f0, uncertainty, bool(voiced), confidence, level, level - below, echo)
                )
                at += 1
            else:
                out.append(numbers.other(kind, line))
    return tuple(out)


def _runs(records: Sequence[Heard]) -> list[tuple[int, int, int]]:
    runs: list[tuple[int, int, int]] = []
    for record in records:
        kind, line = _KINDS.index(type(record)), getattr(record, "line", 0)
        if runs and runs[-1][:2] == (kind, line):
            runs[-1] = (kind, line, runs[-1][2] + 1)
        else:
            runs.append((kind, line, 1))
    return runs


def _number(out: bytearray, value: int) -> None:
    while value > 0x7F:
        out.append(value & 0x7F | 0x80)
        value >>= 7
    out.append(value)


def _signed(out: bytearray, value: int) -> None:
    _number(out, value * 2 if value >= 0 else -value * 2 - 1)


def _differences(out: bytearray, column: Sequence[int]) -> None:
    before = 0
    for value in column:
        _signed(out, value - before)
        before = value


def _steady(out: bytearray, column: Sequence[int]) -> None:
    """A column that usually goes on by the same step."""
    before, step = 0, 0
    for value in column:
        _signed(out, value - before - step)
        before, step = value, value - before


def _text(out: bytearray, text: str) -> None:
    encoded = text.encode()
    _number(out, len(encoded))
    out += encoded


def _other(out: bytearray, record: Heard) -> None:
    match record:
        case KeyNote():
            for value in (record.on_frame, record.off_frame, record.midi, record.velocity):
                _signed(out, value)
        case Anchor():
            _signed(out, record.frame)
            _text(out, str(record.quarters))
            _text(out, str(record.quarters_per_minute))
        case Gap():
            _signed(out, record.from_frame)
            _signed(out, record.to_frame)
            _text(out, record.why)


class _Numbers:
    """The way back; every read beyond the end is a ValueError."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._at = 0

    def byte(self) -> int:
        if self._at >= len(self._content):
            raise ValueError("the stored pitch line is damaged")
        self._at += 1
        return self._content[self._at - 1]

    def next(self) -> int:
        value, shift = 0, 0
        while True:
            byte = self.byte()
            value |= (byte & 0x7F) << shift
            if byte < 0x80:
                return value
            shift += 7

    def signed(self) -> int:
        value = self.next()
        return -(value + 1) // 2 if value & 1 else value // 2

    def differences(self, count: int) -> list[int]:
        out, value = [], 0
        for _ in range(count):
            value += self.signed()
            out.append(value)
        return out

    def steady(self, count: int) -> list[int]:
        out: list[int] = []
        before, step = 0, 0
        for _ in range(count):
            value = before + step + self.signed()
            before, step = value, value - before
            out.append(value)
        return out

    def text(self) -> str:
        length = self.next()
        taken = self._content[self._at : self._at + length]
        if len(taken) < length:
            raise ValueError("the stored pitch line is damaged")
        self._at += length
        return taken.decode()

    def other(self, kind: int, line: int) -> Heard:
        if kind == 1:
            return KeyNote(line, self.signed(), self.signed(), self.signed(), self.signed())
        if kind == 2:
            return Anchor(self.signed(), Fraction(self.text()), Fraction(self.text()))
        if kind == 3:
            return Gap(self.signed(), self.signed(), self.text())
        raise ValueError("the stored pitch line is damaged")
