"""What is remembered of whoever sings at this machine: the octave of each part sung last, and how far the voice went on which day.

One small JSON file.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from trainer.log.small_table import read_table, write_table

FARTHEST_OCTAVES = 2
LOWEST_MIDI, HIGHEST_MIDI = 24, 108
KEPT_DAYS = 366


@dataclass(frozen=True, slots=True)
class DaysCompass:
    """Lowest and highest note of one day, MIDI numbers."""

    day: date
    lowest: int
    highest: int


class SingerMemory:
    """The file. Reading never fails; writing raises LogError."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def octaves(self, part: str) -> int:
        """Octaves between *part* as it is written and as it was sung last; 0 when that is not known."""
        told = self._table("octaves").get(part, 0)
        return told if isinstance(told, int) and abs(told) <= FARTHEST_OCTAVES else 0

    def sang(self, part: str, octaves: int) -> None:
        """Remember it; what is remembered already is not written again."""
        if octaves != self.octaves(part):
            self._write("octaves", {**self._table("octaves"), part: octaves}, "the octave cannot be remembered")

    def compasses(self) -> list[DaysCompass]:
        """Every day's, the latest day last."""
        found = [_day(day, told) for day, told in self._table("compass").items()]
        return sorted((one for one in found if one is not None), key=lambda one: one.day)

    def compass(self, today: date) -> DaysCompass | None:
        """The latest; one that carries a later day than today, since the clock was set back, counts as today's."""
        known = self.compasses()
        return replace(known[-1], day=min(known[-1].day, today)) if known else None

    def reached(self, compass: DaysCompass) -> None:
        """Remember a day's, in place of what was remembered of that day, or of a later one: the clock was set back since."""
        known = [one for one in self.compasses()[-KEPT_DAYS:] if one.day < compass.day]
        table = {one.day.isoformat(): [one.lowest, one.highest] for one in known}
        table[compass.day.isoformat()] = [compass.lowest, compass.highest]
        self._write("compass", table, "the compass cannot be remembered")

    def _write(self, name: str, table: dict[str, Any], otherwise: str) -> None:
        write_table(self._path, {**read_table(self._path), name: table}, otherwise)

    def _table(self, name: str) -> dict[str, Any]:
        told = read_table(self._path).get(name)
        return told if isinstance(told, dict) else {}


def _day(day: str, told: object) -> DaysCompass | None:
    """One row; None for a damaged one."""
    if not isinstance(told, list) or len(told) != 2 or not all(isinstance(midi, int) for midi in told):
        return None
    try:
        found = DaysCompass(date.fromisoformat(day), *told)
    except ValueError:
        return None
    return found if LOWEST_MIDI <= found.lowest <= found.highest <= HIGHEST_MIDI else None
