"""Reads drill text. Every complaint names the file, the line, the word and what to type instead."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS, refuse_many_lines
from trainer.formats._drill_headers import counted_bars, keys_of, meters_and_pickup, tempo_of
from trainer.formats._drill_lines import Typed, Typing, sorted_lines
from trainer.formats._drill_meant import near
from trainer.formats._drill_voice import bar_texts, syllables, voice_notes
from trainer.formats._drill_words import FACTS, SPECIES, settled_fact
from trainer.formats._text import bars_words, decoded
from trainer.score.model import Line, Note, Origin, Score, called_voices
from trainer.score.modes import MODE_FIFTHS


def read(content: bytes, path: str) -> Score:
    """The score in drill text. Raises ScoreError only."""
    typing = sorted_lines(decoded(content, path), path)
    if not typing.voices:
        raise ScoreError(
            "the drill has no voice",
            path,
            "add a line such as   soprano | A4 | G | F |   for each voice, the top one first",
        )
    refuse_many_lines(len(typing.voices), path)
    meters, pickup = meters_and_pickup(typing)
    bars = counted_bars(meters, pickup, _bar_count(typing))
    lines = tuple(
        Line(name, _sung(name, typing, voice_notes(name, typed, bars))) for name, typed in typing.voices.items()
    )
    if not any(line.notes for line in lines):
        raise ScoreError("the drill has no note in any voice", path, "type notes such as A4 between the bar lines")
    printed = typing.headers.get("printed")
    title = typing.headers.get("title")
    score = Score(
        title.text if title else PurePath(path).stem,
        lines,
        meters=meters,
        keys=keys_of(typing, meters, pickup),
        tempo=tempo_of(typing, meters, pickup),
        pickup_quarters=pickup,
        printed_bars=tuple(printed.text.split()) if printed else (),
        origin=Origin(path, 1),
    )
    return replace(score, facts=_facts(typing, score.voice_names()))


@dataclass(frozen=True, slots=True)
class Cover:
    """What stands above the music of a drill: its title, its voices' names from the top, and what it says of itself."""

    title: str
    voices: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]

    def fact(self, name: str) -> str:
        """What the file says of *name*, "" when it says nothing."""
        return dict(self.facts).get(name, "")


def read_cover(content: bytes, path: str) -> Cover:
    """A drill without its notes, fifty times quicker than the whole. Raises ScoreError for headers that are wrong."""
    typing = sorted_lines(decoded(content, path), path)
    voices = called_voices(list(typing.voices))
    title = typing.headers.get("title")
    return Cover(title.text if title else PurePath(path).stem, voices, _facts(typing, voices))


def _bar_count(typing: Typing) -> int:
    """Bars of every voice alike. Raises ScoreError when they differ."""
    counts = {name: sum(len(bar_texts(line)) for line in typed) for name, typed in typing.voices.items()}
    longest = max(counts, key=lambda name: counts[name])
    if counts[longest] > MOST_BARS:
        raise typing.voices[longest][-1].wrong(
            f"the {longest} has {counts[longest]} bars",
            f"an exercise has at most {MOST_BARS}; cut it into several files",
        )
    for name, count in counts.items():
        if count != counts[longest]:
            others = [other for other in counts if other != name]  # a misspelt name makes a second voice
            raise typing.voices[name][-1].wrong(
                f"the {name} has {bars_words(count)} and the {longest} has {counts[longest]}",
                f"{near(name, others)}all voices have the same number of bars; write  | . |  for a bar of rest",
            )
    return counts[longest]


def _sung(name: str, typing: Typing, notes: tuple[Note, ...]) -> tuple[Note, ...]:
    """The notes with the syllables that stand under their voice."""
    for other, typed in typing.words.items():
        if other.lower() not in (known.lower() for known in typing.voices):
            raise typed[0].wrong(
                f"no voice is called {other!r}",
                f"{near(other, typing.voices)}the voices are {', '.join(typing.voices)}",
            )
    typed = next((typed for other, typed in typing.words.items() if other.lower() == name.lower()), [])
    sung = list(notes)
    for index, (syllable, line) in enumerate(syllables(typed)):
        if index == len(sung):
            raise line.wrong(
                f"the {name} has {len(sung)} notes and more syllables than that",
                "write one syllable a note, . for a note without one, _ for a space inside one",
            )
        sung[index] = replace(sung[index], lyric=syllable)
    return tuple(sung)


def _facts(typing: Typing, voices: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """What the file says of itself, in its order."""
    free = iter(typing.free_facts)
    facts = []
    for name in typing.order:
        if name.startswith("fact "):
            key, typed = next(free)
            facts.append((key, typed.text))
        elif name in FACTS:
            facts.append((name, _fact(name, typing.headers[name], voices)))
    return tuple(facts)


def _fact(name: str, typed: Typed, voices: tuple[str, ...]) -> str:
    try:
        return settled_fact(name, typed.text, voices)
    except ValueError as err:
        known = {
            "cantus": voices,
            "sing": voices,
            "mode": MODE_FIFTHS,
            "species": SPECIES,
        }.get(name, ())
        last = typed.text.rpartition(" ")[2]
        wrong = f"{typed.text!r} is not a {'voice' if name in ('cantus', 'sing') else name}"
        raise typed.wrong(wrong if last else f"the header {name} says nothing", f"{near(last, known)}{err}") from err
