"""What is remembered of devices: which were used last, and each pair's round trip with its date. One small JSON file.

Devices are remembered by name, never by number. A file that cannot be read is taken for none: everything in it can be measured
again.
"""

from __future__ import annotations

import contextlib
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from trainer.log.small_table import read_table, write_table

KEPT_PAIRS = 50


@dataclass(frozen=True, slots=True)
class Pair:
    """Two devices as they were opened; another rate or block has another delay."""

    input: str
    output: str
    rate_hz: int
    block_frames: int


@dataclass(frozen=True, slots=True)
class LearntRoom:
    """The way of our own sound through a room, as ``audio.canceller.path.EchoPath`` packs it."""

    taps: str
    delay_frames: int
    drift_ppm: float
    left_db: float


@dataclass(frozen=True, slots=True)
class MeasuredPair:
    """The round trip of a pair.

    Parameters
    ----------
    pair : Pair
    round_trip_ms, spread_ms : float
    bleed_db : float or None
    measured_utc : str
        ISO 8601.
    room : LearntRoom or None
        Where our own sound was heard.
    """

    pair: Pair
    round_trip_ms: float
    spread_ms: float
    bleed_db: float | None
    measured_utc: str
    room: LearntRoom | None = None


class DeviceMemory:
    """The file. Reading never fails; writing raises LogError."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def measured(self, pair: Pair) -> MeasuredPair | None:
        """What was measured last for these devices."""
        for row in self._table().get("pairs", []):
            with contextlib.suppress(TypeError, ValueError, KeyError, AttributeError):
                room = LearntRoom(**row["room"]) if row.get("room") else None
                found = MeasuredPair(**{**row, "pair": Pair(**row["pair"]), "room": room})
                if found.pair == pair and found.round_trip_ms >= 0:
                    return found
        return None

    def remember(self, found: MeasuredPair) -> None:
        """Keep it in place of an earlier one of the same pair."""
        table = self._table()
        pair = asdict(found.pair)
        others = [row for row in table.get("pairs", []) if isinstance(row, dict) and row.get("pair") != pair]
        self._write({**table, "pairs": [asdict(found), *others][:KEPT_PAIRS]})

    def last(self, kind: str) -> str | None:
        """Name of the device used last; *kind* is "input", "output", "keys" or "synth"."""
        name = self._table().get("last", {}).get(kind)
        return name if isinstance(name, str) and name else None

    def use(self, **names: str) -> None:
        """Remember the devices chosen, as ``use(input="...", output="...")``."""
        table = self._table()
        self._write({**table, "last": {**table.get("last", {}), **names}})

    def _table(self) -> dict[str, Any]:
        table = read_table(self._path)
        pairs, last = table.get("pairs"), table.get("last")
        return {"pairs": pairs if isinstance(pairs, list) else [], "last": last if isinstance(last, dict) else {}}

    def _write(self, table: dict[str, Any]) -> None:
        write_table(self._path, table, "the devices cannot be remembered")
