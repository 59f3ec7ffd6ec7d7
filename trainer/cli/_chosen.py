"""A setting's value and where it came from: option, surroundings, the folder's file, the user's file, default; the first that speaks."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trainer.errors import SettingError
from trainer.places import places


@dataclass(frozen=True, slots=True)
class Kind:
    """One thing that can be set: its default, how a word becomes a value, and what is possible in words."""

    default: Any
    read: Callable[[str], Any]
    possible: str
    says: str


def _one_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(text)
        return text

    return read


def _tolerance(text: str) -> int:
    cents = {"fine": 15, "usual": 25, "learner": 35}.get(text)
    if cents is None:
        cents = int(text) if re.fullmatch(r"\d{1,2}", text) else 0
    if not 1 <= cents <= 70:
        raise ValueError(text)
    return cents


def _a4(text: str) -> float:
    hz = float(text) if re.fullmatch(r"\d{3}(\.\d{1,6})?", text) else 0.0
    if not 392 <= hz <= 466:
        raise ValueError(text)
    return hz


def _level(text: str) -> str:
    ends = text.replace(" ", "").split("-")
    if (
        not 1 <= len(ends) <= 2
        or not all(end.isdecimal() and 1 <= int(end) <= 12 for end in ends)
        or int(ends[0]) > int(ends[-1])
    ):
        raise ValueError(text)
    return "-".join(ends)


def _yes_no(text: str) -> bool:
    return {"yes": True, "no": False, "true": True, "false": False, "1": True, "0": False}[text]


KINDS: dict[str, Kind] = {
    "tolerance": Kind(25, _tolerance, "fine, usual, learner or cents from 1 to 70", "half-width of held, in cents"),
    "against": Kind("equal", _one_of("equal", "pure"), "equal or pure", "the tuning of the voices and of the measure"),
    "octave": Kind("steady", _one_of("strict", "steady", "free"), "strict, steady or free", "which octaves are right"),
    "a": Kind(440.0, _a4, "hertz from 392 to 466", "pitch of A4"),
    "level": Kind("2-4", _level, "1 to 12, or a range such as 3-5", "how hard new exercises are"),
    "names": Kind(
        "degrees",
        _one_of("degrees", "sol-fa", "do-minor", "fixed-do", "letters", "german"),
        "degrees, sol-fa, do-minor, fixed-do, letters or german",
        "how notes are called; german in reports, too",
    ),
    "color": Kind("auto", _one_of("auto", "always", "never"), "auto, always or never", "when to colour"),
    "plain": Kind(False, _yes_no, "yes or no", "one line a bar, no drawing"),
    "log": Kind(True, _yes_no, "yes or no", "keep the pitch lines of takes on this machine"),
}


@dataclass(frozen=True, slots=True)
class Choice:
    """A setting's value and who said so, in words."""

    name: str
    value: Any
    origin: str


def chosen(name: str, option: Any = None) -> Any:
    """The value of *name*; *option* is what the command line gave, None for nothing."""
    return choice(name, option).value


def choice(name: str, option: Any = None) -> Choice:
    """The value of *name* and where it came from.

    Raises
    ------
    SettingError
        When a file or variable that speaks of it says something impossible.
    """
    kind = KINDS[name]
    if option is not None:
        return Choice(name, option, "option")
    variable = f"HELDLINE_{name.upper()}"
    if os.environ.get(variable):
        return Choice(name, _value(kind, os.environ[variable], variable), variable)
    here = places()
    for path in (here.project_settings, here.settings):
        table = read_file(path)
        if name in table:
            return Choice(name, _value(kind, _word(table[name]), f"{path}, {name}"), str(path))
    return Choice(name, kind.default, "default")


def value_of(name: str, text: str) -> Any:
    """What *text* means for *name*. Raises SettingError."""
    return _value(KINDS[name], text, name)


def read_file(path: Path) -> dict[str, Any]:
    """A settings file as a table; empty when there is none. Raises SettingError when it is not TOML."""
    try:
        with open(path, "rb") as opened:
            return tomllib.load(opened)
    except FileNotFoundError:
        return {}
    except NotADirectoryError as err:
        raise SettingError(
            "what should be a folder is a file", str(path.parent), "choose another folder with HELDLINE_HOME"
        ) from err
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
        raise SettingError(f"the settings file is not TOML: {err}", str(path), "mend that line, or delete it") from err
    except OSError as err:
        raise SettingError(
            f"the settings file cannot be read: {(err.strerror or str(err)).lower()}",
            str(path),
            "see that you may read it",
        ) from err


def _word(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _value(kind: Kind, text: str, where: str) -> Any:
    try:
        return kind.read(text.strip())
    except (ValueError, KeyError) as err:
        raise SettingError(f"{text!r} is not possible", where, f"give {kind.possible}") from err
