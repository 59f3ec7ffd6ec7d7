"""A take as the JSON that outside programs rely on: ``heldline.take/1`` and ``heldline.group/1``.

Whole cents and milliseconds, seconds to a thousandth, scientific pitch names. No clock time, path or version, so that two
judgements of one pitch line are the same bytes.
"""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from trainer.judge.together import side_by_side
from trainer.practice.take import BeatVerdict, ClashVerdict, NoteVerdict, Performance, Take, TempoPoint

TAKE_SCHEMA = "heldline.take/1"
GROUP_SCHEMA = "heldline.group/1"


def to_json(take: Take) -> dict[str, Any]:
    """One take as a table for ``json.dumps``."""
    settings = take.settings
    return {
        "schema": TAKE_SCHEMA,
        "score": {"title": take.title, "parts": take.parts},
        "voice": take.voice,
        "voice_number": take.voice_number,
        "source": take.source,
        "settings": {
            "a4_hz": float(settings.a4_hz),
            "against": settings.against,
            "tolerance_cents": settings.tolerance_cents,
            "on_time_ms": take.on_time_ms,
            "octave": settings.octave,
            "tempo_qpm": float(take.tempo_qpm),
            "starts_at_s": float(settings.starts_at_s),
            "time": settings.time,
            "alone": settings.alone,
        }
        | ({"sinking_cents": settings.sinking_cents} if settings.sinking_cents else {}),
        "notes": [_note(note) for note in take.notes],
        "beats": [_beat(beat) for beat in take.beats],
        "clashes": [_clash(clash) for clash in take.clashes],
        "extra": [
            {"start_s": _seconds(extra.start_s), "end_s": _seconds(extra.end_s), "sung": extra.sung}
            for extra in take.extra
        ],
        "drift_cents": take.drift_cents,
        "octave_shift": take.octave_shift,
        "whole_take_cents": take.whole_take_cents,
        "status": take.status,
        "remarks": list(take.remarks),
        "gaps": [
            {"start_s": _seconds(start), "end_s": _seconds(end), "why": why} for start, end, why in take.health.gaps
        ],
        "result": take.result(),
    } | ({"tempo_line": [_tempo(point) for point in take.tempo_line]} if settings.time == "free" else {})


def group_to_json(performance: Performance) -> dict[str, Any]:
    """Every take of one performance, in the order asked for, and how several sung ones stood to each other."""
    from trainer.reports.together import together_to_json

    table: dict[str, Any] = {"schema": GROUP_SCHEMA, "takes": [to_json(take) for take in performance.takes]}
    return table | ({"together": together_to_json(performance)} if side_by_side(performance) else {})


def as_text(table: dict[str, Any]) -> str:
    """One JSON object in letters that every terminal and pipe can carry, keys in their own order."""
    return json.dumps(table, ensure_ascii=True, allow_nan=False)


def _note(note: NoteVerdict) -> dict[str, Any]:
    vibrato = note.vibrato
    return {
        **_place(note),
        "beat": float(note.beat),
        "length_beats": float(note.length_beats),
        "expected": note.expected,
        "start_s": _seconds(note.start_s),
        "end_s": _seconds(note.end_s),
        "sign": note.sign.value,
        "signs": [sign.value for sign in note.signs],
        "sung": note.sung,
        "cents": note.cents,
        "uncertainty_cents": note.uncertainty_cents,
        "onset_error_ms": note.onset_error_ms,
        "release_error_ms": note.release_error_ms,
        "pulled_to": note.pulled_to,
        "also_note_of": list(note.also_note_of),
        "restruck": note.restruck,
        "scoop_cents": note.scoop_cents,
        "vibrato": None
        if vibrato is None
        else {"rate_hz": round(vibrato.rate_hz, 1), "extent_cents": vibrato.extent_cents},
    }


def _beat(beat: BeatVerdict) -> dict[str, Any]:
    return {**_place(beat), "beat": _whole_or_float(beat.beat), "sign": beat.sign.value, "cents": beat.cents}


def _clash(clash: ClashVerdict) -> dict[str, Any]:
    return {
        **_place(clash),
        "beat": float(clash.beat),
        "figure": clash.figure,
        "prepared": clash.prepared.value,
        "held": clash.held.value,
        "resolved": clash.resolved.value,
    }


def _tempo(point: TempoPoint) -> dict[str, Any]:
    return {
        "bar": point.bar,
        "beat": float(point.beat),
        "time_s": _seconds(point.time_s),
        "tempo_qpm": point.quarters_per_minute,
    }


def _place(verdict: NoteVerdict | BeatVerdict | ClashVerdict) -> dict[str, Any]:
    printed = verdict.printed_bar
    return {"bar": verdict.bar} | ({"printed_bar": printed} if printed and printed != str(verdict.bar) else {})


def _whole_or_float(beat: Fraction) -> int | float:
    return beat.numerator if beat.denominator == 1 else float(beat)


def _seconds(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds, 3)
