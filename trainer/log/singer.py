"""What is remembered of whoever sings at this machine: in which octave they took each part last. One small JSON file."""

from __future__ import annotations

from pathlib import Path

from trainer.log.small_table import read_table, write_table

FARTHEST_OCTAVES = 2


class SingerMemory:
    """The file. Reading never fails; writing raises LogError."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def octaves(self, part: str) -> int:
        """Octaves between *part* as it is written and as it was sung last; 0 when that is not known."""
        told = self._octaves().get(part, 0)
        return told if isinstance(told, int) and abs(told) <= FARTHEST_OCTAVES else 0

    def sang(self, part: str, octaves: int) -> None:
        """Remember it; what is remembered already is not written again."""
        if octaves != self.octaves(part):
            write_table(self._path, {"octaves": {**self._octaves(), part: octaves}}, "the octave cannot be remembered")

    def _octaves(self) -> dict[str, object]:
        told = read_table(self._path).get("octaves")
        return told if isinstance(told, dict) else {}
