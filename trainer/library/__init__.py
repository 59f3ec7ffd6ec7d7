"""The exercises that ship with heldline: found, listed and looked up. No numpy, no device.

Conventions: an exercise's number is the figure that its file's name begins with, so that adding one never renumbers another. The list
reads what stands above the music of each file and no note of it; that level, crux and compass there are what ``trainer.grading``
computes from the music is tested over all of them.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from pathlib import Path

from trainer.errors import ScoreError
from trainer.formats import known_suffixes, read_bytes, read_path
from trainer.formats.drill import read_cover
from trainer.score.model import Score

FOLDERS = (Path(__file__).parents[1] / "_drills", Path(__file__).parents[2] / "drills")
"""Inside an installed package, and in a checkout."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """One shipped exercise as the list shows it. Texts are as in the file, "" when it does not say."""

    number: int
    title: str
    parts: int
    species: str
    mode: str
    cantus: str
    sing: str
    level: int
    crux: str
    compass: str
    path: Path

    @property
    def lowest(self) -> str:
        """The lowest note of the line to sing, such as D#3."""
        return self.compass.split()[0] if self.compass else ""

    @property
    def highest(self) -> str:
        """Its highest note."""
        return self.compass.split()[-1] if self.compass else ""

    @property
    def mode_word(self) -> str:
        """The mode without its final, such as dorian."""
        return self.mode.split()[-1] if self.mode else ""


def folder() -> Path:
    """Where the shipped drills lie. Raises ScoreError when the installation has lost them."""
    for candidate in FOLDERS:
        if candidate.is_dir():
            return candidate
    raise ScoreError("the library is missing", str(FOLDERS[0]), "install heldline again")


def exercises() -> tuple[Exercise, ...]:
    """Every shipped exercise in the order of its number. Raises ScoreError."""
    return tuple(sorted((_exercise(path) for path in _paths()), key=lambda exercise: exercise.number))


def find(wanted: str) -> Exercise:
    """The one exercise with that number, title, beginning of a title, or words of a title, in this order.

    Raises
    ------
    ScoreError
        When none or several answer, with the titles that come near.
    """
    listed = exercises()
    low = " ".join(wanted.lower().split())
    for answers in (
        [exercise for exercise in listed if low.isdecimal() and exercise.number == int(low)],
        [exercise for exercise in listed if exercise.title.lower() == low],
        [exercise for exercise in listed if low and exercise.title.lower().startswith(low)],
        [exercise for exercise in listed if low and set(_words(low)) <= set(_words(exercise.title))],
    ):
        if len(answers) == 1:
            return answers[0]
        if answers:
            raise ScoreError(
                f"several exercises answer to {wanted!r}",
                "library",
                f"say which: {'; '.join(exercise.title for exercise in answers)}",
            )
    raise ScoreError(f"the library has no exercise {wanted!r}", "library", _advice(low, listed))


def resolve(text: str) -> Score:
    """The score that *text* names: a number or title of the library, or the path of a file. Raises ScoreError."""
    path = Path(text)
    if "/" in text or "\\" in text or path.suffix.lower() in known_suffixes():
        return read_path(path)
    try:
        return read_path(find(text).path)
    except ScoreError:
        # a file without a known ending still opens by its bare name
        if _is_file(path):
            return read_path(path)
        raise


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _paths() -> list[Path]:
    return sorted(path for path in folder().rglob("*.drill") if path.name.split("-")[0].isdecimal())


def _exercise(path: Path) -> Exercise:
    cover = read_cover(read_bytes(path), str(path))
    return Exercise(
        number=int(path.name.split("-")[0]),
        title=cover.title,
        parts=len(cover.voices),
        species=cover.fact("species"),
        mode=cover.fact("mode"),
        cantus=cover.fact("cantus"),
        sing=cover.fact("sing"),
        level=int(cover.fact("level") or 0),
        crux=cover.fact("crux"),
        compass=cover.fact("compass"),
        path=path,
    )


def _words(title: str) -> list[str]:
    return title.lower().replace(",", " ").split()


def _advice(low: str, listed: tuple[Exercise, ...]) -> str:
    titles = {exercise.title.lower(): exercise.title for exercise in listed}
    near = difflib.get_close_matches(low, titles, n=3, cutoff=0.5)
    if not near:
        near = [key for key in titles if any(difflib.get_close_matches(word, _words(low)) for word in _words(key))][:3]
    if near:
        return f"did you mean {' or '.join(titles[key] for key in near)}?"
    return "heldline library lists them; a file is given by its path"
