"""All that a take says of what was heard, as text: not what was asked for, and nothing that a later version may say besides."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

NOTE = (
    "bar", "beat", "printed_bar", "length_beats", "expected", "signs", "start_s", "end_s", "sung", "cents", "uncertainty_cents",
    "onset_error_ms", "release_error_ms", "pulled_to", "also_note_of", "restruck", "scoop_cents", "vibrato", "why",
)  # fmt: skip
BEAT = ("bar", "beat", "printed_bar", "sign", "cents", "expected", "sung", "pulled_to")
REST = (
    "clashes", "extra", "drift_cents", "octave_shift", "whole_take_cents", "status", "remarks", "health", "tempo_line",
)  # fmt: skip


def notes_of(take: Any) -> list[str]:
    """A text a note."""
    return [_said(note, NOTE) for note in take.notes]


def rest_of(take: Any) -> list[str]:
    """Beats, a text each, and everything else of the take in one more."""
    return [*(_said(beat, BEAT) for beat in take.beats), _said(take, REST)]


def _said(record: Any, names: tuple[str, ...]) -> str:
    return "|".join(_plain(getattr(record, name)) for name in names)


def _plain(value: Any) -> str:
    if is_dataclass(value):
        return "(" + ",".join(_plain(getattr(value, field.name)) for field in fields(value)) + ")"
    if isinstance(value, tuple):
        return "(" + ",".join(map(_plain, value)) + ")"
    return str(value)
