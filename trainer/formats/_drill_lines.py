"""Sorts the lines of a drill text into headers, voices and words, before any of it is music."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.errors import ScoreError
from trainer.formats._drill_meant import near
from trainer.formats._drill_words import HEADERS
from trainer.score.model import Origin


@dataclass(frozen=True, slots=True)
class Typed:
    """A piece of the file as typed: the text, where it stood and its whole line."""

    text: str
    origin: Origin
    whole_line: str

    def wrong(self, what: str, do: str, *, word: int = 0) -> ScoreError:
        """The error for this line, or for its *word* counted from 1."""
        place = f"{self.origin.path}, line {self.origin.line}{f', word {word}' if word else ''}"
        shown = self.whole_line if len(self.whole_line) <= 100 else f"{self.whole_line[:97]}..."
        return ScoreError(what, f"{place}:  {shown}", do)


@dataclass(slots=True)
class Typing:
    """The lines of a file by kind. Voices and words are kept under the name as first typed."""

    headers: dict[str, Typed] = field(default_factory=dict)
    free_facts: list[tuple[str, Typed]] = field(default_factory=list)
    order: list[str] = field(default_factory=list)
    voices: dict[str, list[Typed]] = field(default_factory=dict)
    words: dict[str, list[Typed]] = field(default_factory=dict)


def sorted_lines(text: str, path: str) -> Typing:
    """Every line in its place. Raises ScoreError for a line that is none of the three kinds."""
    typing = Typing()
    for number, raw in enumerate(text.split("\n"), start=1):
        line = raw.strip()
        if not line or line.startswith(";"):
            continue
        whole = Typed(line, Origin(path, number), line)
        before, _, after = line.partition(":")
        if "|" in line and "|" in before:
            _add_voice(typing, whole)
        elif before != line:
            _add_header(typing, " ".join(before.split()), Typed(after.strip(), whole.origin, line))
        else:
            raise whole.wrong(
                "the line is neither a header nor a voice", "write  name: value  or  name | notes | notes |"
            )
    return typing


def _add_voice(typing: Typing, whole: Typed) -> None:
    name = " ".join(whole.text.split("|")[0].split())
    if not name:
        raise whole.wrong("the voice has no name", "write the name before the first bar line:  alto | F4 |")
    _under(typing.voices, name).append(whole)


def _add_header(typing: Typing, name: str, typed: Typed) -> None:
    low = name.lower()
    if low.endswith(" words"):
        _under(typing.words, name[: -len(" words")]).append(typed)
    elif low.startswith("fact "):
        typing.free_facts.append((name[len("fact ") :], typed))
        typing.order.append(low)
    elif low not in HEADERS:
        raise typed.wrong(
            f"{name!r} is not a header",
            f"{near(name, HEADERS)}headers are {', '.join(HEADERS)}, or  fact NAME: value",
        )
    elif low in typing.headers:
        raise typed.wrong(
            f"{low}: stands here a second time", f"keep this one or the one in line {typing.headers[low].origin.line}"
        )
    else:
        typing.headers[low] = typed
        typing.order.append(low)


def _under(table: dict[str, list[Typed]], name: str) -> list[Typed]:
    """The entry called *name* whatever its capitals, a new one when there is none."""
    for known, entry in table.items():
        if known.lower() == name.lower():
            return entry
    return table.setdefault(name, [])
