"""How hard the voices of a score are to sing, as text and as JSON: three worst places first, each with what would help."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from trainer.plan.stumbles import StumbleMap
from trainer.reports.look import Look
from trainer.reports.stumbles import stumbles_as_text, stumbles_to_json
from trainer.reports.wording import place_words
from trainer.score.pitch import spelled_midi
from trainer.score.time import Place
from trainer.singable.danger import Spot
from trainer.singable.kinds.surprise import article
from trainer.singable.suggest import Change, Move
from trainer.singable.weigh import EASY_BELOW, HARD_FROM, Reason, Weighed, WeighedNote

SCHEMA = "heldline.singable/1"
INDENT = 4
ALSO_FROM = Fraction(1)
"""Lighter remarks stand in the JSON only."""

MOST_SLIPS, MOST_ALSO = 6, 8
"""So many places are told of a long line, the heaviest; the JSON has all."""


@dataclass(frozen=True, slots=True)
class ByTakes:
    """The line weighed by weights that were fitted to so many takes kept here."""

    weighed: Weighed
    takes: int


@dataclass(frozen=True, slots=True)
class Looked:
    """One voice weighed, with what would help: the changes of single notes by the index of the hard note, a move, another voice.

    ``stumbled`` is what the takes of this very line say of it, ``by_takes`` how it weighs by all takes kept here; None where there
    are none, or where that was never asked for.
    """

    weighed: Weighed
    changes: Mapping[int, Change] = field(default_factory=dict)
    dangers: tuple[Spot, ...] = ()
    move: Move | None = None
    voice: str | None = None
    stumbled: StumbleMap | None = None
    by_takes: ByTakes | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A score's voices as they were looked at."""

    title: str
    parts: int
    tempo_qpm: Fraction
    voices: tuple[Looked, ...]


def singable_to_json(sheet: Sheet) -> dict[str, Any]:
    """One object a score."""
    return {
        "schema": SCHEMA,
        "title": sheet.title,
        "parts": sheet.parts,
        "tempo_qpm": _number(sheet.tempo_qpm),
        "voices": {_key(sheet, looked.weighed): _voice_to_json(looked) for looked in sheet.voices},
    }


def _key(sheet: Sheet, weighed: Weighed) -> str:
    """The voice's name, with its number where another voice has the same."""
    alike = sum(looked.weighed.voice == weighed.voice for looked in sheet.voices)
    return weighed.voice if alike == 1 else f"{weighed.voice} {weighed.voice_number}"


def _voice_to_json(looked: Looked) -> dict[str, Any]:
    weighed = looked.weighed
    told: dict[str, Any] = {
        "voice_number": weighed.voice_number,
        "grade": weighed.grade,
        "mean_points": _number(weighed.mean_points),
        "mean_bits": _number(weighed.mean_bits),
        "lowest": weighed.lowest or None,
        "highest": weighed.highest or None,
        "compass": {
            "voice": weighed.compass.voice,
            "lowest": str(spelled_midi(weighed.compass.lowest)),
            "highest": str(spelled_midi(weighed.compass.highest)),
        },
        "worst": [_worst_to_json(looked, note) for note in weighed.worst()],
        "remarks": [_remark_to_json(note, reason) for note in weighed.notes for reason in told_reasons(note)],
        "dangers": [
            {
                **_place(note.place),
                "note": note.name,
                "says": [danger.words for danger in spot.dangers],
                "weight": _number(spot.weight),
            }
            for note, spot in _marked(looked)
        ],
        "transpose": None,
        "other_voice": looked.voice,
        "takes": None if looked.stumbled is None else stumbles_to_json(looked.stumbled),
        "by_takes": None if looked.by_takes is None else _by_takes_to_json(looked.by_takes),
    }
    if looked.move is not None:
        told["transpose"] = {
            "semitones": looked.move.interval.semitones,
            "from": looked.move.before,
            "to": looked.move.after,
            "less": _number(looked.move.gain),
        }
    return told


def _by_takes_to_json(by: ByTakes) -> dict[str, Any]:
    return {
        "takes": by.takes,
        "grade": by.weighed.grade,
        "mean_points": _number(by.weighed.mean_points),
        "worst": [
            {**_place(note.place), "note": note.name, "weight": _number(note.points)} for note in by.weighed.worst()
        ],
    }


def _marked(looked: Looked) -> list[tuple[WeighedNote, Spot]]:
    """The notes at which a slip is likeliest."""
    return [(looked.weighed.notes[spot.index], spot) for spot in looked.dangers if spot.marked]


def _worst_to_json(looked: Looked, note: WeighedNote) -> dict[str, Any]:
    told = {**_place(note.place), "note": note.name, "weight": _number(note.points)}
    change = looked.changes.get(note.index)
    told["mend"] = None
    if change is not None:
        told["mend"] = {
            "bar": change.bar,
            "beat": float(change.beat),
            "from": change.before,
            "to": change.after,
            "less": _number(change.gain),
        }
    return told


def _remark_to_json(note: WeighedNote, reason: Reason) -> dict[str, Any]:
    return {
        **_place(note.place),
        "note": note.name,
        "kind": reason.kind,
        "says": reason.says,
        "weight": _number(reason.points),
        "advice": reason.advice,
    }


def told_reasons(note: WeighedNote) -> list[Reason]:
    """The reasons of a note that are worth a remark."""
    return [reason for reason in note.reasons if reason.says]


def _place(place: Place) -> dict[str, Any]:
    told: dict[str, Any] = {"bar": place.bar, "beat": float(place.beat)}
    if place.printed_bar != str(place.bar):
        told["printed_bar"] = place.printed_bar
    return told


def _number(value: Fraction) -> float:
    return round(float(value), 2)


def singable_as_text(sheet: Sheet, look: Look) -> str:
    """Voice by voice."""
    lines = _head(f"{sheet.title}: how hard each line is to sing", look)
    told = (
        f"At {_short(sheet.tempo_qpm)} quarters a minute, told from paper and apart from whether it is correct. A step costs "
        f"nothing and a third one point; easy is below {_short(EASY_BELOW)} points a note, hard above {_short(HARD_FROM)}."
    )
    lines += textwrap.wrap(told, look.width)
    for looked in sheet.voices:
        lines += ["", *_voice_lines(looked, look)]
    return "\n".join(lines)


def _voice_lines(looked: Looked, look: Look) -> list[str]:
    weighed = looked.weighed
    if not weighed.notes:
        return [f"{weighed.voice}: has no note"]
    head = f"{weighed.voice}: {weighed.grade}, {float(weighed.mean_points):.2f} points a note, {weighed.lowest} to {weighed.highest}"
    lines = _head(head, look)
    if looked.by_takes is not None:
        lines += _wrapped(_by_takes(looked.by_takes), look, 2)
    worst = weighed.worst()
    if not worst:
        lines.append("  nothing in it is hard")
    for note in worst:
        lines += _told(looked, note, look)
    lines += _slips(looked, look)
    lines += _also(weighed, {note.index for note in worst}, look)
    if looked.move is not None:
        way = "up" if looked.move.interval.semitones > 0 else "down"
        told = f"{_size(looked.move)} {way}, in {looked.move.after} instead of {looked.move.before}"
        lines += _wrapped(f"It lies better {told}.", look, 2)
    if looked.voice is not None:
        lines += _wrapped(f"As written it lies better for {article(looked.voice)}.", look, 2)
    if looked.stumbled is not None:
        lines += ["  In voices", *stumbles_as_text(looked.stumbled, look, indent=" " * INDENT)]
    return lines


def _head(words: str, look: Look) -> list[str]:
    return [look.paint(line, "head") for line in textwrap.wrap(words, look.width, subsequent_indent="  ")]


def _by_takes(by: ByTakes) -> str:
    hardest = ", ".join(f"{_where(note)} ({note.name})" for note in by.weighed.worst())
    told = f"By the {by.takes} takes that weights were fitted to: {by.weighed.grade}, {float(by.weighed.mean_points):.2f} points a note"
    return f"{told}; hardest {hardest}." if hardest else f"{told}."


def _told(looked: Looked, note: WeighedNote, look: Look) -> list[str]:
    reasons = told_reasons(note)
    says = "; ".join(reason.says for reason in reasons)
    lines = _wrapped(f"{_where(note)}: {says}", look, 2)
    lines[0] = look.paint(lines[0], "note")
    lines += _wrapped(f"Help: {reasons[0].advice}.", look, INDENT)
    change = looked.changes.get(note.index)
    if change is not None:
        place = "" if change.index == note.index else f" in {place_words(change)}"
        lines += _wrapped(f"Or one other note: {change.after} in place of {change.before}{place}.", look, INDENT)
    return lines


def _slips(looked: Looked, look: Look) -> list[str]:
    """Where a slip is likeliest, in the order of the music."""
    marked = _marked(looked)
    likeliest = sorted(marked, key=lambda one: (-one[1].weight, one[0].index))[:MOST_SLIPS]
    told = "; ".join(
        f"{_where(note)}, {spot.dangers[0].words}" for note, spot in sorted(likeliest, key=lambda one: one[0].index)
    )
    rest = len(marked) - len(likeliest)
    if not told:
        return []
    return _wrapped(f"Look out for a slip: {told}{f'; and {rest} more' if rest else ''}.", look, 2)


def _also(weighed: Weighed, shown: set[int], look: Look) -> list[str]:
    """The other notes with a remark, a line a note, in the order of the music."""
    found: list[tuple[Fraction, int, str]] = []
    for note in weighed.notes:
        told = [reason for reason in told_reasons(note) if reason.points >= ALSO_FROM or reason.kind == "long-phrase"]
        if not told or note.index in shown:
            continue
        says = "; ".join(f"{one.says} ({one.advice})" if one.kind == "long-phrase" else one.says for one in told)
        weight = sum(max(one.points, ALSO_FROM) for one in told)  # where to breathe is never light
        found.append((Fraction(weight), note.index, f"{_where(note)}: {says}"))
    if not found:
        return []
    heaviest = sorted(found, key=lambda one: (-one[0], one[1]))[:MOST_ALSO]
    lines = ["  Also"]
    for _, _, words in sorted(heaviest, key=lambda one: one[1]):
        lines += _wrapped(words, look, INDENT)
    rest = len(found) - len(heaviest)
    return [*lines, *(_wrapped(f"and {rest} lighter ones; --json has all", look, INDENT) if rest else [])]


def _where(note: WeighedNote) -> str:
    return place_words(note.place)


def _size(move: Move) -> str:
    names = {1: "a semitone", 2: "a tone", 3: "a minor third", 4: "a major third", 5: "a fourth", 7: "a fifth"}
    return names[abs(move.interval.semitones)]


def _short(value: Fraction) -> str:
    return f"{float(value):.3g}"


def _wrapped(text: str, look: Look, indent: int) -> list[str]:
    return textwrap.wrap(
        text, look.width, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2), break_on_hyphens=False
    )
