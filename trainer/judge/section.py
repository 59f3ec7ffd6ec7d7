"""What a section held, bar by bar, from its singers' takes of one line: counts and causes, nobody ranked.

A bar counts for a singer who surely sang in it. It was *held* when every beat of it that could be judged was; a beat that was unsure says
nothing. A singer who sang another voice's line is named as that and counts for no bar.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from trainer.practice.signs import COUNTED_AS_HELD, ORDER, Sign
from trainer.practice.take import BeatVerdict, Take

T = TypeVar("T", bound=str)

HEARD = "heard"
WEAK_SHARE = 2
"""A bar is weak when fewer than one in so many held it."""

_SAYS_NOTHING = frozenset({Sign.REST, Sign.UNSURE})


@dataclass(frozen=True, slots=True)
class Desk:
    """One singer's take under a label, the voice whose line it was if not the section's own, and the bars in which two were heard."""

    label: str
    take: Take
    sang_line_of: str | None = None
    two_voices: tuple[int, ...] = ()

    @property
    def counts(self) -> bool:
        """Whether it says something of the section's line."""
        return self.take.status == HEARD and self.sang_line_of is None


@dataclass(frozen=True, slots=True)
class SectionBar:
    """One bar of the section.

    Parameters
    ----------
    bar, printed_bar
    sang, held : int
        How many sang in it, and how many of these held all of it.
    pulled_to : tuple of (voice, int)
        How many were drawn to which voice, the most first.
    causes : tuple of (Sign, int)
        The main sign of each singer who did not hold it, the most first.
    weak_desks : tuple of str
        Labels of those who did not hold it.
    """

    bar: int
    printed_bar: str
    sang: int
    held: int
    pulled_to: tuple[tuple[str, int], ...]
    causes: tuple[tuple[Sign, int], ...]
    weak_desks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A section's line: its bars in order, and its desks."""

    title: str
    parts: int
    voice: str
    voice_number: int
    bars: tuple[SectionBar, ...]
    desks: tuple[Desk, ...]

    @property
    def heard(self) -> int:
        """How many of the desks were heard at all."""
        return sum(desk.take.status == HEARD for desk in self.desks)

    def weakest(self, most: int = 3) -> tuple[SectionBar, ...]:
        """The bars that fewest held, the worst first; none that at least half held."""
        weak = [bar for bar in self.bars if bar.sang and WEAK_SHARE * bar.held < bar.sang]
        return tuple(sorted(weak, key=lambda bar: (bar.held - bar.sang, bar.bar))[:most])

    def failed(self, most: int = 3) -> tuple[SectionBar, ...]:
        """The bars that not everybody held, the worst first."""
        found = [bar for bar in self.bars if bar.held < bar.sang]
        return tuple(sorted(found, key=lambda bar: (bar.held - bar.sang, bar.bar))[:most])


def section_of(title: str, parts: int, voice: str, voice_number: int, desks: Sequence[Desk]) -> Section:
    """The section's bars from its desks, which all sang one line of one score."""
    printed = {beat.bar: beat.printed_bar for desk in desks for beat in desk.take.beats}
    bars = tuple(_bar(number, printed[number], desks) for number in sorted(printed))
    return Section(title, parts, voice, voice_number, bars, tuple(desks))


def _bar(number: int, printed: str, desks: Sequence[Desk]) -> SectionBar:
    sang = held = 0
    pulled: Counter[str] = Counter()
    causes: Counter[Sign] = Counter()
    weak = []
    for desk in desks:
        beats = [beat for beat in desk.take.beats if beat.bar == number and beat.sign not in _SAYS_NOTHING]
        if not desk.counts or all(beat.sign is Sign.SILENT for beat in beats):
            continue
        sang += 1
        slips = [beat for beat in beats if beat.sign not in COUNTED_AS_HELD]
        held += not slips
        if slips:
            weak.append(desk.label)
            # of two notes that follow another voice the first one's beat is known as off only, the note as pulled
            notes = [note for note in desk.take.notes if note.bar == number and note.sign is Sign.PULLED]
            signs = [beat.sign for beat in slips] + [note.sign for note in notes]
            causes[min(signs, key=ORDER.index)] += 1
            drawn = [beat.pulled_to for beat in slips] + [note.pulled_to for note in notes]
            pulled.update({voice for voice in drawn if voice is not None})
    return SectionBar(number, printed, sang, held, _most_first(pulled), _most_first(causes), tuple(weak))


def _most_first(counts: Counter[T]) -> tuple[tuple[T, int], ...]:
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def held_share(beats: Sequence[BeatVerdict]) -> float:
    """Share of the judged beats that were held, 0 when none was judged."""
    judged = [beat for beat in beats if beat.sign not in _SAYS_NOTHING]
    return sum(beat.sign in COUNTED_AS_HELD for beat in judged) / len(judged) if judged else 0.0
