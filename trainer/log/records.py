"""A take under way as bytes: a line of JSON that says what is sung, then records, each with its length and CRC-32.

A torn end is seen and left.
"""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from audio.heard import NO_ECHO_DB10, Anchor, Gap, Heard, KeyNote, PitchFrame
from trainer.log.attempt import Attempt
from trainer.log.written import (
    anchors_of,
    anchors_table,
    beside_of,
    beside_table,
    canonical,
    score_of,
    score_text,
    settings_of,
    settings_table,
)

FORMAT = "heldline.running/1"

_FRAME = struct.Struct("<BHqiH?Hhhh")
_NO_ECHO = struct.pack("<h", NO_ECHO_DB10)
"""Behind a frame that an earlier version wrote."""
_HEAD = struct.Struct("<HI")  # bytes and CRC-32 of the record that follows


def header(attempt: Attempt) -> bytes:
    """What is known before anything is heard."""
    table = {
        "format": FORMAT,
        "key": attempt.key,
        "started_utc": attempt.started_utc,
        "version": attempt.version,
        "source": attempt.source,
        "score": json.loads(score_text(attempt.score)),
        "lines": list(attempt.lines),
        "settings": settings_table(attempt.settings),
        "anchors": anchors_table(attempt.anchors),
        "beside": beside_table(attempt.beside),
    }
    return canonical(table).encode() + b"\n"


def packed(record: Heard) -> bytes:
    """One record."""
    body = _body(record)
    return _HEAD.pack(len(body), zlib.crc32(body)) + body


def read_running(content: bytes) -> Attempt | None:
    """The attempt as far as it was written down whole; None when not even its first line was."""
    first, newline, rest = content.partition(b"\n")
    try:
        table = json.loads(first)
        if not newline or table["format"] != FORMAT:
            return None
        attempt = Attempt(
            table["key"],
            table["started_utc"],
            table["version"],
            table["source"],
            score_of(json.dumps(table["score"])),
            tuple(table["lines"]),
            settings_of(table["settings"]),
            anchors_of(table["anchors"]),
            whole=False,
            beside=beside_of(table.get("beside", {})),
        )
    except (ValueError, KeyError, TypeError):
        return None
    return replace(attempt, heard=tuple(_records(rest)))


def _body(record: Heard) -> bytes:
    if isinstance(record, PitchFrame):
        return _FRAME.pack(
            0,
            record.line,
            record.centre_frame,
            record.f0_c100,
            record.uncertainty_cents,
            record.voiced,
            record.confidence,
            record.level_db10,
            record.residual_db10,
            record.echo_db10,
        )
    match record:
        case KeyNote():
            table = ["key", record.line, record.on_frame, record.off_frame, record.midi, record.velocity]
        case Anchor():
            table = ["anchor", record.frame, str(record.quarters), str(record.quarters_per_minute)]
        case Gap():
            table = ["gap", record.from_frame, record.to_frame, record.why]
    return b"\x01" + canonical(table).encode()


def _records(content: bytes) -> Iterator[Heard]:
    """Records up to the first one that is not whole."""
    at = 0
    while at + _HEAD.size <= len(content):
        length, check = _HEAD.unpack_from(content, at)
        body = content[at + _HEAD.size : at + _HEAD.size + length]
        if len(body) < length or not body or zlib.crc32(body) != check:
            return
        at += _HEAD.size + length
        yield _record(body)


def _record(body: bytes) -> Heard:
    if body[0] == 0:
        _, *values = _FRAME.unpack(body if len(body) == _FRAME.size else body + _NO_ECHO)
        return PitchFrame(*values)
    kind, *values = json.loads(body[1:])
    if kind == "key":
        return KeyNote(*values)
    if kind == "anchor":
        return Anchor(values[0], Fraction(values[1]), Fraction(values[2]))
    return Gap(*values)
