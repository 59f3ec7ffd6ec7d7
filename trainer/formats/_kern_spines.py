"""The paths of a kern file's spines: which column belongs to which part and voice, through splits, joins, exchanges and ends.

Source: D. Huron, The Humdrum Toolkit: Reference Manual, 1994, spine path indicators.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from trainer.formats._written import Ticks, Unreadable

MOST_PATHS = 64


@dataclass(slots=True, eq=False)
class Spine:
    """One part of the score, or a column of text or anything else beside it. ``name`` is "" until the file says it."""

    kind: str
    name: str = ""
    code: str = ""
    notes: int = 0


@dataclass(slots=True, eq=False)
class Path:
    """One column: its spine, its voice there, and where its last note ends. ``fresh`` until it had one of its own."""

    spine: Spine
    voice: int = 1
    end: Ticks = 0
    fresh: bool = field(default=True)

    @property
    def is_kern(self) -> bool:
        """Whether its tokens are notes."""
        return self.spine.kind == "**kern"


def moves_paths(tokens: list[str]) -> bool:
    """Whether a line of interpretations changes the paths."""
    return any(token in ("*^", "*v", "*x", "*+", "*-") or token.startswith("**") for token in tokens)


def moved(paths: list[Path], tokens: list[str]) -> list[Path]:
    """The paths after a line of interpretations. Raises Unreadable where the line makes no sense."""
    found: list[Path] = []
    column = 0
    while column < len(tokens):
        path, sign = paths[column], tokens[column]
        column += 1
        if sign == "*^":
            found += [path, Path(path.spine, _free_voice(path, [*paths, *found]), path.end)]
        elif sign == "*+":
            found += [path, Path(Spine(""), end=path.end)]
        elif sign == "*v":
            joined = [path]
            while column < len(tokens) and tokens[column] == "*v":
                joined.append(paths[column])
                column += 1
            if len(joined) == 1:
                raise Unreadable("a spine joins (*v) and no neighbour joins with it")
            found.append(replace(path, end=max(other.end for other in joined)))
        elif sign == "*x":
            if column == len(tokens) or tokens[column] != "*x":
                raise Unreadable("a spine changes places (*x) and no neighbour does")
            found += [paths[column], path]
            column += 1
        elif sign.startswith("**"):
            if path.spine.kind:
                raise Unreadable(f"a spine of {path.spine.kind} becomes {sign[:20]}")
            path.spine.kind = sign
            found.append(path)
        elif sign != "*-":
            found.append(path)
    if len(found) > MOST_PATHS:
        raise Unreadable(f"there are more than {MOST_PATHS} spines")
    return found


def _free_voice(path: Path, beside: list[Path]) -> int:
    taken = {other.voice for other in beside if other.spine is path.spine}
    return next(number for number in range(1, len(taken) + 2) if number not in taken)
