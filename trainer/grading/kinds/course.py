"""How the line goes on: entries, ties, how many notes to one, repetitions, and where it lies."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, pairwise

from trainer.grading.declare import Crux, CruxKind
from trainer.grading.words import bar, bars, count
from trainer.rules.texture import Tone
from trainer.singable.part import Part

HIGH_SHARE, LOW_SHARE = 5, 2
"""A fifth of the time at the upper end of the voice is told, half of it at the lower, which tires less (our own)."""


def _entry(part: Part) -> Iterator[Crux]:
    entries = [after for before, after in pairwise(part.line) if before.end < after.on]
    strange = [tone for tone in entries if _unheard(part, tone)]
    told = strange or entries
    if told:
        after = "a rest" if len(told) == 1 else "rests"
        says = f"{'entry' if len(told) == 1 else 'entries'} after {after} in {bars(bar(part.texture, tone.on) for tone in told)}"
        yield Crux(
            "entry", f"{says}, on a note that nobody had" if strange else says, 54 if strange else 32, len(entries)
        )
    elif part.line and part.line[0].on > part.texture.bars[0].on:
        yield Crux("entry", f"entry after a rest in bar {bar(part.texture, part.line[0].on)}", 12)


def _unheard(part: Part, tone: Tone) -> bool:
    """Whether neither one's own last note nor any voice in the bar before has the note."""
    before = part.texture.before(tone)
    if before is not None and before.midi % 12 == tone.midi % 12:
        return False
    whole = part.texture.bar_at(tone.on)
    return tone.midi % 12 not in part.heard(tone.on - (whole.end - whole.on), tone.on)


def _ties(part: Part) -> Iterator[Crux]:
    crossed = [tone for tone in part.line if tone.end > part.texture.bar_at(tone.on).end]
    if crossed:
        times = "once" if len(crossed) == 1 else f"{count(len(crossed))} times"
        where = f" in {bars(bar(part.texture, tone.on) for tone in crossed)}" if len(crossed) < 4 else ""
        yield Crux("ties", f"held over the bar line {times}{where}", 18 + len(crossed), len(crossed))


def _notes_to_one(part: Part) -> Iterator[Crux]:
    kind = part.piece.species[part.voice]
    bar_ = part.texture.bars[0]
    if kind in ("2", "3") and part.line:
        most = (bar_.end - bar_.on) // min(tone.length for tone in part.line)
        yield Crux("notes-to-one", f"{count(most)} notes to one", 16 if kind == "2" else 20)
    if kind == "5":
        yield Crux("notes-to-one", "changing note values", 20)


def _repeats(part: Part) -> Iterator[Crux]:
    runs = [list(run) for _, run in groupby(part.line, key=lambda tone: tone.midi)]
    longest = max(runs, key=len, default=[])
    if len(longest) > 2:
        says = f"the same note {count(len(longest))} times from bar {bar(part.texture, longest[0].on)}"
        yield Crux("repeats", says, 24 + 2 * len(longest), len(longest))


def _height(part: Part) -> Iterator[Crux]:
    whole = sum(tone.length for tone in part.line)
    for word, share, there in (
        ("high", HIGH_SHARE, [tone for tone in part.line if tone.midi > part.compass.ease_to]),
        ("low", LOW_SHARE, [tone for tone in part.line if tone.midi < part.compass.ease_from]),
    ):
        if share * sum(tone.length for tone in there) >= whole > 0:
            says = f"lies {word} in {bars(bar(part.texture, tone.on) for tone in there)}"
            yield Crux("height", says, 30 if word == "high" else 15, len(there))
            return


KINDS = (
    CruxKind("entry", ("entry after a rest", "entry", "entries"), _entry),
    CruxKind("ties", ("ties", "syncopation", "held over the bar line"), _ties),
    CruxKind("notes-to-one", ("two notes to one", "four notes to one", "changing note values"), _notes_to_one),
    CruxKind("repeats", ("repeated notes",), _repeats),
    CruxKind("height", ("lies high", "lies low"), _height),
)
