"""Counts with their honest uncertainty: exact one-sided 95 % bounds of a share (Clopper & Pearson 1934), through scipy.

A judged take becomes rows of plain values, one a note and one a beat (``rows_of``), so that a campaign can keep them as JSON lines and
many runs be pooled into one table. *Unsure* counts as a miss of what was planted and is told beside it.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from planted_takes import KINDS, VOICES, Planted
from scipy.stats import beta

Row = dict[str, Any]
RIGHT = "right"
FOUND_AS = {"random": ("off", "pulled"), RIGHT: ("held", "breath")}
"""Signs that are right for a kind; its own name where not said here. A breath costs a singer nothing."""

PLAIN_VIBRATO_CENTS = 15.0
SOFT_DB = -15
CENTS_CLASSES = {"plain, 0.5 s or more": 4, "vibrato to 70, 0.5 s or more": 8, "plain, 0.25 to 0.4 s": 15}
"""How many cents 95 of 100 notes may be off."""


def at_least(found: int, count: int) -> float:
    """Lower 95 % bound of a share."""
    return 0.0 if found == 0 else float(beta.ppf(0.05, found, count - found + 1))


def at_most(found: int, count: int) -> float:
    """Upper 95 % bound of a share; 1 for nothing counted."""
    return 1.0 if found == count else float(beta.ppf(0.95, found + 1, count - found))


def rows_of(planted: Planted, take: Mapping[str, Any], truth: Mapping[int, float]) -> list[Row]:
    """One row a written note, in order, and one a beat far from any fault."""
    written = planted.piece.notes(planted.voice)
    notes = [note for note in take["notes"] if note["expected"] is not None]
    sung = {note.index: note for note in reversed(planted.performance)}
    shift = round((planted.performance[0].midi - written[planted.performance[0].index].midi) / 12)
    common = {"condition": planted.condition, "voice": planted.voice, "rt60": planted.room[0]}
    rows, dirty_bars = [], set()
    for index, note in enumerate(notes):
        kind = planted.faults.get(index, RIGHT)
        row = common | {"kind": kind, "sign": note["sign"], "seed": planted.seed, "note": index}
        if kind == "pulled":
            row["named"] = note["pulled_to"] == planted.pulled_to[index]
        if kind != RIGHT:
            dirty_bars |= {note["bar"] - 1, note["bar"], note["bar"] + 1}
        if index in sung:
            row["gain_db"] = round(sung[index].gain_db)
        if index in sung and kind in (RIGHT, "flat", "sharp", "late", "left early") and note["cents"] is not None:
            true = 100 * (truth[index] - written[index].midi - 12 * shift)
            row["error"] = round(note["cents"] - true, 1)
            row["within"] = note["uncertainty_cents"]
            row["class"] = _cents_class(planted, sung[index].end_s - sung[index].start_s)
        if not _right(row):
            row["told"] = (
                f"bar {note['bar']} beat {note['beat']} of {planted.qpm:g} {','.join(note['signs'])} wanted {note['expected']}"
                f" sung {note['sung']} cents {note['cents']} onset {note['onset_error_ms']} release {note['release_error_ms']}"
                f" to {note['pulled_to']}"
            )
        rows.append(row)
    for beat in take["beats"]:
        if beat["bar"] not in dirty_bars and beat["sign"] != "rest":
            rows.append(common | {"kind": "beat", "sign": beat["sign"], "seed": planted.seed})
    rows.append(common | {"kind": "octave of the take", "sign": "held" if take["octave_shift"] == shift else "octave"})
    return rows


def _cents_class(planted: Planted, length_s: float) -> str:
    names = list(CENTS_CLASSES)
    plain = planted.throat.vibrato_cents <= PLAIN_VIBRATO_CENTS
    if length_s >= 0.5:
        return names[0] if plain else names[1]
    return names[2] if plain and 0.24 <= length_s <= 0.4 else ""


def _right(row: Row) -> bool:
    return row["sign"] in FOUND_AS.get(row["kind"], (row["kind"],))


def kept_lines(results: Path) -> Iterator[dict[str, Any]]:
    """Every line of a folder's campaign files, but those that were being written when a machine stopped."""
    for place in sorted(results.glob("verdicts-*.jsonl")):
        for text in place.read_text(encoding="utf-8").splitlines():
            try:
                yield json.loads(text)
            except ValueError:
                continue


def table(rows: Iterable[Row]) -> list[str]:
    """Everything that the rows say, for people; one block a condition."""
    by_condition: dict[str, list[Row]] = {}
    for row in rows:
        by_condition.setdefault(row["condition"], []).append(row)
    lines = []
    for condition in sorted(by_condition):
        lines += [f"== {condition}", *_block(by_condition[condition]), ""]
    return lines


def _block(rows: list[Row]) -> list[str]:
    head = f"{'planted':<12}{'how many':>9}{'found':>7}{'found %':>9}{'at least':>10}{'unsure %':>10}  " + "".join(
        f"{voice:>16}" for voice in VOICES
    )
    lines = [head]
    for kind in (k for k in KINDS if any(row["kind"] == k for row in rows)):
        of_kind = [row for row in rows if row["kind"] == kind]
        found, count = sum(map(_right, of_kind)), len(of_kind)
        unsure = sum(row["sign"] == "unsure" for row in of_kind)
        line = f"{kind:<12}{count:>9}{found:>7}{100 * found / count:>9.1f}{100 * at_least(found, count):>10.1f}"
        line += f"{100 * unsure / count:>10.1f}  "
        for voice in VOICES:
            mine = [row for row in of_kind if row["voice"] == voice]
            line += f"{f'{sum(map(_right, mine))} of {len(mine)}':>16}"
        lines.append(line)
    lines += [_not_soft(rows), _named(rows), *_of_right(rows), *_of_cents(rows)]
    return [line for line in lines if line]


def _not_soft(rows: list[Row]) -> str:
    """Without the softest: noise 10 dB under the singer is above a note that is 20 dB under the others."""
    told = []
    for kind in KINDS:
        loud = [row for row in rows if row["kind"] == kind and row.get("gain_db", 0) > SOFT_DB]
        if loud:
            found = sum(map(_right, loud))
            told.append(f"{kind} {100 * found / len(loud):.1f} ({found} of {len(loud)})")
    return f"without notes {-SOFT_DB} dB and more under the loudest: {', '.join(told)}" if told else ""


def _named(rows: list[Row]) -> str:
    pulled = [row for row in rows if row["kind"] == "pulled"]
    drawn = [row for row in rows if row["kind"] == "random"]
    told = []
    if pulled:
        named = sum(row["named"] for row in pulled)
        told.append(f"pulled, the right voice named: {_share(named, len(pulled), at_least)}")
    if drawn:
        called = sum(row["sign"] == "pulled" for row in drawn)
        told.append(f"random wrong notes called pulled: {_share(called, len(drawn), at_most)}")
    return "\n".join(told)


def _of_right(rows: list[Row]) -> list[str]:
    lines = []
    for kind, name in (
        (RIGHT, "right notes"),
        ("beat", "beats of bars without a fault"),
        ("octave of the take", "takes"),
    ):
        mine = [row for row in rows if row["kind"] == kind]
        if not mine:
            continue
        signs = Counter(row["sign"] for row in mine)
        unsure = signs["unsure"]
        wrong = sum(count for sign, count in signs.items() if sign not in ("held", "breath", "unsure"))
        which = ", ".join(f"{sign} {n}" for sign, n in signs.most_common() if sign not in ("held", "breath", "unsure"))
        lines.append(f"{name} called wrong: {_share(wrong, len(mine), at_most)}" + (f" ({which})" if which else ""))
        lines.append(f"{name} unsure: {_share(unsure, len(mine), at_most)}" if kind != "octave of the take" else "")
    return lines


def _of_cents(rows: list[Row]) -> list[str]:
    lines = []
    measured = [row for row in rows if "error" in row]
    for name, allowed in CENTS_CLASSES.items():
        mine = [row for row in measured if row["class"] == name]
        if not mine:
            continue
        errors = np.abs([row["error"] for row in mine])
        p50, p95, worst = np.percentile(errors, [50, 95, 100])
        inside = sum(errors <= allowed)
        lines.append(
            f"cents, {name}: half within {p50:.1f}, 95 % within {p95:.1f}, worst {worst:.0f};"
            f" within {allowed}: {_share(int(inside), len(mine), at_least)}; {_coverage(mine)}"
        )
    if measured:
        lines.append(f"uncertainty, all notes with cents: {_coverage(measured)}")
    return lines


def _coverage(rows: list[Row]) -> str:
    covered = sum(abs(row["error"]) <= row["within"] for row in rows)
    middle = float(np.median([row["within"] for row in rows]))
    return f"covered {100 * covered / len(rows):.1f} %, median uncertainty {middle:.0f}"


def _share(found: int, count: int, bound: Any) -> str:
    limit = "at least" if bound is at_least else "at most"
    return f"{found} of {count}, {100 * found / count:.2f} %, {limit} {100 * bound(found, count):.2f} %"


def misses(rows: Iterable[Row]) -> list[str]:
    """Every note that was not told as it was planted."""
    return [
        f"seed {row['seed']} note {row['note']} {row['voice']} {row['condition']} room {row['rt60']}"
        f" {row.get('gain_db', 0)} dB: {row['kind']}, told {row['told']}"
        for row in rows
        if "told" in row
    ]


LEAST_FOUND, MOST_CALLED = 0.90, 0.02


def good_enough(rows: Iterable[Row]) -> bool:
    """Whether a run passes as a tripwire: nine faults of ten found, two right notes of a hundred called wrong at most."""
    faults = [row for row in rows if row["kind"] in KINDS]
    right = [row for row in rows if row["kind"] == RIGHT]
    called = sum(row["sign"] not in ("held", "breath", "unsure") for row in right)
    return sum(map(_right, faults)) >= LEAST_FOUND * len(faults) and called <= MOST_CALLED * len(right)
