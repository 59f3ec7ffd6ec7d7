"""Counts with their honest uncertainty: exact one-sided 95 % bounds of a share (Clopper & Pearson 1934), through scipy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from planted_takes import Planted
from scipy.stats import beta

LEAST_JUDGED_CENTS_S = 0.5


def at_least(found: int, count: int) -> float:
    """Lower 95 % bound of a share."""
    return 0.0 if found == 0 else float(beta.ppf(0.05, found, count - found + 1))


def at_most(found: int, count: int) -> float:
    """Upper 95 % bound of a share; 1 for nothing counted."""
    return 1.0 if found == count else float(beta.ppf(0.95, found + 1, count - found))


@dataclass(slots=True)
class Tally:
    """What became of planted faults and of clean notes over many takes."""

    planted: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    found: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    unsure: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    called: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    clean_notes: int = 0
    clean_called: int = 0
    clean_unsure: int = 0
    clean_beats: int = 0
    beats_called: int = 0
    pulled: int = 0
    pulled_right: int = 0
    takes: int = 0
    octaves_wrong: int = 0
    cents_errors: list[int] = field(default_factory=list)
    misses: list[str] = field(default_factory=list)

    def add(self, planted: Planted, take: Mapping[str, Any], truth: Mapping[int, float]) -> None:
        """Count one judged take."""
        self.takes += 1
        notes = [note for note in take["notes"] if note["expected"] is not None]
        shift = round(
            planted.performance[0].midi - planted.piece.notes(planted.voice)[planted.performance[0].index].midi
        )
        wanted_shift = take["octave_shift"]
        self.octaves_wrong += wanted_shift != round(shift / 12)
        spans = {n.index: n for n in planted.performance}
        dirty_bars = set()
        for index, note in enumerate(notes):
            sign, expected = note["sign"], planted.faults.get(index)
            if expected is None:
                self._clean(planted, index, note)
            else:
                dirty_bars |= {note["bar"] - 1, note["bar"], note["bar"] + 1}
                self.planted[expected] += 1
                self.found[expected] += sign == expected
                self.unsure[expected] += sign == "unsure"
                if sign != expected:
                    self._miss(planted, index, expected, note)
                if expected == "pulled":
                    self.pulled += 1
                    self.pulled_right += note["pulled_to"] == planted.pulled_to[index]
            in_tune = expected in (None, "flat", "sharp") and note["cents"] is not None
            span = spans.get(index)
            if in_tune and span is not None and span.end_s - span.start_s >= LEAST_JUDGED_CENTS_S:
                written = planted.piece.notes(planted.voice)[index].midi
                true = 100 * (truth[index] - written - 12 * wanted_shift)
                self.cents_errors.append(round(abs(note["cents"] - true)))
        for beat in take["beats"]:
            if beat["bar"] not in dirty_bars and beat["sign"] != "rest":
                self.clean_beats += 1
                self.beats_called += beat["sign"] not in ("held", "breath", "unsure")

    def _clean(self, planted: Planted, index: int, note: Mapping[str, Any]) -> None:
        self.clean_notes += 1
        sign = note["sign"]
        if sign == "unsure":
            self.clean_unsure += 1
        elif sign not in ("held", "breath"):
            self.clean_called += 1
            self.called[sign] += 1
            self._miss(planted, index, "held", note)

    def _miss(self, planted: Planted, index: int, expected: str, note: Mapping[str, Any]) -> None:
        self.misses.append(
            f"seed {planted.seed} {planted.piece.title} {planted.voice} note {index} bar {note['bar']} beat {note['beat']}"
            f" ({planted.condition}, {planted.qpm:g}): {expected}, told {note['signs']} sung {note['sung']}"
            f" cents {note['cents']} onset {note['onset_error_ms']} release {note['release_error_ms']}"
            f" pulled to {note['pulled_to']}"
        )

    def lines(self) -> list[str]:
        """The table for people."""
        rows = [f"{self.takes} takes, {self.clean_notes} clean notes, {sum(self.planted.values())} planted faults", ""]
        rows.append(
            f"{'fault':<12}{'planted':>8}{'found':>7}{'found %':>9}{'at least':>10}{'unsure %':>10}{'called so falsely':>19}"
        )
        for kind in sorted(self.planted):
            count, found = self.planted[kind], self.found[kind]
            rows.append(
                f"{kind:<12}{count:>8}{found:>7}{100 * found / count:>9.1f}{100 * at_least(found, count):>10.1f}"
                f"{100 * self.unsure[kind] / count:>10.1f}{self.called[kind]:>19}"
            )
        if self.clean_notes:
            rows += [
                "",
                self._share("clean notes called wrong", self.clean_called, self.clean_notes),
                self._share("clean notes unsure", self.clean_unsure, self.clean_notes),
            ]
        if self.clean_beats:
            rows.append(self._share("clean beats called wrong", self.beats_called, self.clean_beats))
        if self.pulled:
            rows.append(f"pulled to the right voice: {self.pulled_right} of {self.pulled}")
        rows.append(f"takes with the wrong octave: {self.octaves_wrong} of {self.takes}")
        if self.cents_errors:
            p50, p95, worst = np.percentile(self.cents_errors, [50, 95, 100])
            rows.append(
                f"cents error, notes of {LEAST_JUDGED_CENTS_S:g} s and more: p50 {p50:.0f}, p95 {p95:.0f}, worst {worst:.0f}"
                f" ({len(self.cents_errors)} notes)"
            )
        return rows

    @staticmethod
    def _share(name: str, found: int, count: int) -> str:
        return f"{name}: {found} of {count}, {100 * found / count:.2f} %, at most {100 * at_most(found, count):.2f} %"
