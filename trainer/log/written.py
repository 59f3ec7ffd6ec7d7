"""Score, settings and anchors as canonical JSON text and back, exactly: equal things give equal text, so a digest names them."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields
from fractions import Fraction
from typing import Any

from audio.heard import Anchor
from trainer.practice.beside import Beside
from trainer.practice.settings import Settings
from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter, TempoMap


def canonical(table: Any) -> str:
    """JSON with sorted keys, no spaces and letters of ASCII only."""
    return json.dumps(table, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def digest(text: str) -> str:
    """SHA-256 of a text, 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def score_text(score: Score) -> str:
    """Everything of a score but where it stood in its file."""
    return canonical(
        {
            "title": score.title,
            "lines": [
                {
                    "name": line.name,
                    "notes": [
                        [
                            _fraction(n.onset_quarters),
                            _fraction(n.length_quarters),
                            str(n.pitch),
                            n.lyric,
                            n.breath_after,
                        ]
                        for n in line.notes
                    ],
                }
                for line in score.lines
            ],
            "meters": [[_fraction(at), str(meter)] for at, meter in score.meters],
            "keys": [[_fraction(at), key.fifths, key.mode] for at, key in score.keys],
            "tempo": [[_fraction(at), _fraction(qpm)] for at, qpm in score.tempo.points],
            "pickup": _fraction(score.pickup_quarters),
            "printed": list(score.printed_bars),
            "facts": [list(fact) for fact in score.facts],
        }
    )


def score_of(text: str) -> Score:
    """The score of :func:`score_text`. Raises ValueError, KeyError or TypeError on anything else."""
    table = json.loads(text)
    return Score(
        title=table["title"],
        lines=tuple(
            Line(
                line["name"],
                tuple(
                    Note(Fraction(onset), Fraction(length), Pitch.parse(pitch), lyric, breath)
                    for onset, length, pitch, lyric, breath in line["notes"]
                ),
            )
            for line in table["lines"]
        ),
        meters=tuple((Fraction(at), Meter.parse(meter)) for at, meter in table["meters"]),
        keys=tuple((Fraction(at), Key(fifths, mode)) for at, fifths, mode in table["keys"]),
        tempo=TempoMap(tuple((Fraction(at), Fraction(qpm)) for at, qpm in table["tempo"])),
        pickup_quarters=Fraction(table["pickup"]),
        printed_bars=tuple(table["printed"]),
        facts=tuple((name, value) for name, value in table["facts"]),
    )


def settings_table(settings: Settings) -> dict[str, Any]:
    """Every field by name; fractions as text."""
    return {field.name: _plain(getattr(settings, field.name)) for field in fields(settings)}


def settings_of(table: dict[str, Any]) -> Settings:
    """The settings of :func:`settings_table`; fields that an older version did not write have their default."""
    known = {field.name: table[field.name] for field in fields(Settings) if field.name in table}
    for name in ("tempo_qpm", "starts_at_s"):
        if known.get(name) is not None:
            known[name] = Fraction(known[name])
    return Settings(**known)


def anchors_table(anchors: tuple[Anchor, ...]) -> list[list[Any]]:
    """Frame, quarters and tempo of each."""
    return [[a.frame, _fraction(a.quarters), _fraction(a.quarters_per_minute)] for a in anchors]


def anchors_of(table: list[list[Any]]) -> tuple[Anchor, ...]:
    """The anchors of :func:`anchors_table`."""
    return tuple(Anchor(frame, Fraction(quarters), Fraction(qpm)) for frame, quarters, qpm in table)


def beside_table(beside: Beside) -> dict[str, Any]:
    """Every field by name that says something."""
    usual = Beside()
    told = {field.name: getattr(beside, field.name) for field in fields(Beside)}
    return {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in told.items()
        if value != getattr(usual, name)
    }


def beside_of(table: dict[str, Any]) -> Beside:
    """What :func:`beside_table` wrote; unknown names are a newer version's."""
    known: dict[str, Any] = {
        field.name: tuple(value) if isinstance(value := table[field.name], list) else value
        for field in fields(Beside)
        if field.name in table
    }
    return Beside(**known)


def _plain(value: Any) -> Any:
    return _fraction(value) if isinstance(value, Fraction) else value


def _fraction(value: Fraction) -> str:
    return str(Fraction(value))
