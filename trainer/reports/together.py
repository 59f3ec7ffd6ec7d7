"""Several singers of one performance: their beats one under the other, what each came to, and how they stood to each other."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from trainer.judge.together import Chord, Together, together
from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import BeatVerdict, Performance, Take
from trainer.reports.beat_signs import BEAT_SIGNS, letter
from trainer.reports.look import Look
from trainer.reports.wording import bar_words, beat_words, note_words, place_words

BETWEEN = 2
APART_CENTS, APART_MS = 10, 50
"""Less than that nobody hears as out of tune (the just noticeable difference of sung tones is about 10 cents) or out of time (D'Amario and
others 2018)."""

PLACES_TOLD = 3


def together_to_json(performance: Performance) -> dict[str, Any]:
    """How the lines stood to each other."""
    found = together(performance)
    onset_ms = dict(found.onset_ms)
    return {
        "moved_cents": found.moved_cents,
        "voices": [
            {"voice": voice, "against_others_cents": cents, "after_others_ms": onset_ms[voice]}
            for voice, cents in found.cents
        ],
        "chords": [
            {"bar": chord.bar, "beat": float(chord.beat), "against_others_cents": dict(chord.cents)}
            for chord in found.chords
        ],
    }


def together_text(performance: Performance, look: Look) -> str:
    """The summary above the single takes."""
    takes = performance.takes
    lines = textwrap.wrap(f"{takes[0].title}: {', '.join(take.voice for take in takes)}", look.width)
    lines = [look.paint(line, "head") for line in lines]
    if look.form != "plain":
        rows = {take.voice: _beats(take) for take in takes}
        lines += ["", *beat_rows(rows, look), "", *_legend(takes, look), ""]
    for take in takes:
        lines += textwrap.wrap(f"{take.voice}: {_result(take)}", look.width, subsequent_indent="  ")
    said = against_words(together(performance))
    return "\n".join([*lines, *textwrap.wrap(f"Together: {said}", look.width, subsequent_indent="  ")])


def beat_rows(
    rows: Mapping[str, Sequence[BeatVerdict]], look: Look, *, bars: Sequence[int] = (), around: int = 0, room: int = 0
) -> list[str]:
    """Bars side by side with a row of signs a voice; of systems that have no *room* those from the bar *around* on."""
    numbers = list(bars) or sorted({beat.bar for beats in rows.values() for beat in beats})
    signs = {
        name: {bar: [beat.sign for beat in beats if beat.bar == bar] for bar in numbers} for name, beats in rows.items()
    }
    wide = {bar: max(len(str(bar)), *(len(found[bar]) for found in signs.values())) + BETWEEN for bar in numbers}
    label = max(len("bar"), *map(len, rows)) + BETWEEN
    systems: list[list[int]] = [[]]
    for bar in numbers:
        if systems[-1] and sum(wide[b] for b in systems[-1]) + wide[bar] > look.width - label:
            systems.append([])
        systems[-1].append(bar)
    if room:
        fit = max(1, (room + 1) // (len(rows) + 2))
        here = next((k for k, system in enumerate(systems) if around in system), 0)
        systems = systems[min(here, max(0, len(systems) - fit)) :][:fit]
    lines: list[str] = []
    for system in systems:
        lines += [""] if lines else []
        lines.append(f"{'bar':<{label}}{''.join(f'{bar:<{wide[bar]}}' for bar in system)}".rstrip())
        for name, found in signs.items():
            told = "".join(_drawn(found[bar], wide[bar], look) for bar in system)
            lines.append(f"{name:<{label}}{told}".rstrip())
    return lines


def against_words(found: Together) -> str:
    """How they stood to each other, in a few sentences."""
    if not found.chords:
        return "too few right notes sounded together to say how they stood to each other."
    apart = [
        f"{voice} {abs(cents)} cents {'over' if cents > 0 else 'under'} the others"
        for voice, cents in found.cents
        if cents is not None and abs(cents) >= APART_CENTS
    ]
    told = [("; ".join(apart) if apart else "in tune with each other") + "."]
    late = [
        f"{voice} {abs(ms)} ms {'after' if ms > 0 else 'before'} the others"
        for voice, ms in found.onset_ms
        if ms is not None and abs(ms) >= APART_MS
    ]
    if any(ms is not None for _, ms in found.onset_ms):
        told.append(("; ".join(late).capitalize() if late else "Entries together") + ".")
    if found.moved_cents is not None and abs(found.moved_cents) >= APART_CENTS:
        told.append(f"All {'rose' if found.moved_cents > 0 else 'sank'} {abs(found.moved_cents)} cents on the way.")
    wide = sorted(found.chords, key=lambda chord: -abs(chord.widest[1]))[:PLACES_TOLD]
    places = [_chord_words(chord) for chord in sorted(wide, key=_place) if abs(chord.widest[1]) >= 2 * APART_CENTS]
    if places:
        told.append(f"Farthest apart: {'; '.join(places)}.")
    return " ".join(told)


def _place(chord: Chord) -> tuple[int, Any]:
    return chord.bar, chord.beat


def _chord_words(chord: Chord) -> str:
    voice, cents = chord.widest
    return f"{place_words(chord)}, {voice} {cents:+d}"


def _result(take: Take) -> str:
    if take.status == "nothing heard":
        return "nothing heard"
    counts = take.result()
    told = [
        f"{bar_words(note)} beat {beat_words(note.beat)} {note_words(note)}"
        for note in take.notes
        if note.sign not in COUNTED_AS_HELD
    ]
    more = f"; and {len(told) - PLACES_TOLD} more" if len(told) > PLACES_TOLD else ""
    return "; ".join([f"{counts['held']} of {counts['judged']} held", *told[:PLACES_TOLD]]) + more


def _beats(take: Take) -> tuple[BeatVerdict, ...]:
    """The beats of one row; where nobody was heard each is silent, whatever kept a single one from being told."""
    if take.status != "nothing heard":
        return take.beats
    return tuple(beat if beat.sign is Sign.REST else replace(beat, sign=Sign.SILENT) for beat in take.beats)


def _legend(takes: Sequence[Take], look: Look) -> list[str]:
    used = {beat.sign for take in takes for beat in _beats(take)}
    told = "   ".join(f"{letter(sign, look.letters)} {sign.value}" for sign in Sign if sign in used)
    return textwrap.wrap(told, look.width, break_on_hyphens=False)


def _drawn(signs: Sequence[Sign], wide: int, look: Look) -> str:
    return "".join(look.paint(letter(sign, look.letters), BEAT_SIGNS[sign].kind) for sign in signs) + " " * (
        wide - len(signs)
    )
