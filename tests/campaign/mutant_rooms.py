"""Which rooms of the program are changed by ``mutants``, and which of their tests are asked, in which order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Room:
    """One room.

    Parameters
    ----------
    folder : Path
    early : tuple of Path
        Test files, asked in this order; those that are near a changed file come before them.
    late : tuple of Path
        Asked last, since they take longest: most mutants are dead before.
    near : mapping
        From a file of the room, or a folder in it, to the test files that look at it from nearby; most mutants die there.
    asked : str
        Expression of ``pytest -k``.
    quick : callable
        Asked before any test file, with the changed file (None: none in particular): whether all is as it was. What a test would ask
        too, without the time that pytest takes.
    """

    folder: Path
    early: tuple[Path, ...]
    late: tuple[Path, ...]
    near: Mapping[str, tuple[Path, ...]] = field(default_factory=dict)
    asked: str = ""
    quick: Callable[[Path | None], bool] = lambda _: True

    def tests(self, changed: Path | None) -> list[list[Path]]:
        """The test files for a changed file, in batches; None is none in particular."""
        inside = "" if changed is None else changed.relative_to(self.folder).with_suffix("").parts[0]
        near = self.near.get(inside, ())
        batches = [list(near), [path for path in self.early if path not in near]]
        return [*batches, *([path] for path in self.late if path not in near)]


def _files(folder: str, names: str) -> tuple[Path, ...]:
    return tuple(ROOT / "tests" / "trainer" / folder / f"test_{name}.py" for name in names.split())


def _rules() -> Room:
    tests = ROOT / "tests" / "trainer" / "rules"
    late = _files("rules", "fux vectors any_score")
    apart = _files("rules", "chorales second_checker")  # they need music21, or do not touch the rules
    near = {
        "melody": "melody_cases cases", "place": "place_cases cases", "parallels": "perfect_cases cases", "cadences": "close_cases",
        "chords": "chord_cases cases", "species": "species_cases dissonance_cases", "suspensions": "suspension_cases",
        "dissonance": "dissonance_cases classification", "law": "dissonance_cases", "suspension": "suspension_cases classification",
        "texture": "texture", "showing": "showing piece", "piece": "piece showing", "mode": "intervals_and_chords piece",
        "chord": "intervals_and_chords piece", "intervals": "intervals_and_chords", "finding": "finding", "declare": "finding rules",
        "checking": "finding", "ruleset": "ruleset", "registry": "finding rules", "marking": "marking", "mending": "mending",
    }  # fmt: skip
    return Room(
        ROOT / "trainer" / "rules",
        tuple(sorted(path for path in tests.glob("test_*.py") if path not in (*apart, *late))),
        late,
        {inside: _files("rules", names) for inside, names in near.items()},
        "not second_checker and not own_grounds",  # what of the vectors is asked of the second checker alone
    )


def _judge() -> Room:
    files = sorted((ROOT / "tests" / "trainer" / "judge").glob("test_*.py"))
    near = {
        "reading": _files("judge", "limits"),
        "keyed": _files("judge", "limits keyed"),
        "clash": _files("judge", "clash"),
        "section": _files("judge", "section") + _files("reports", "section"),
        "crowd": _files("judge", "crowd") + _files("reports", "crowd"),
        "divided": _files("judge", "divided") + _files("reports", "crowd"),
        "figure": _files("judge", "figure"),
        "keyline": _files("judge", "keyed"),
        "runningkeys": _files("judge", "keyed"),
        "onset": _files("judge", "onset"),
        "company": _files("judge", "company"),
        "alignment": _files("takes", "own_time"),
    }
    return Room(
        ROOT / "trainer" / "judge",
        tuple(path for path in files if path.stem not in ("test_rulers", "test_nets")) + _files("practice", "drive"),
        _files("reports", "why"),
        near,
        quick=_judged_as_it_was,
    )


def _judged_as_it_was(changed: Path | None) -> bool:
    """As ``test_rulers`` and ``test_same_bytes`` ask, and ``test_nets`` of the nets that look at the changed file."""
    from nets import as_kept
    from rulers import KEPT, rows
    from stored_lines import FOLDER, read_line

    if not as_kept(None if changed is None else changed.stem):
        return False
    kept = set(KEPT.read_text(encoding="utf-8").splitlines())
    if not all(row in kept for row in rows()):
        return False
    lines = (read_line(path) for path in sorted(FOLDER.glob("*.line")))
    return all(
        list(one.verdicts()) == (FOLDER / f"{one.name}.txt").read_text(encoding="utf-8").splitlines() for one in lines
    )


ROOMS = {"rules": _rules(), "judge": _judge()}
