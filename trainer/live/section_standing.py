"""What a section sees of its rehearsal from across the room, and what a singer alone is told of the own turn. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.judge.section import Desk, Section
from trainer.live.standing import Standing
from trainer.reports.section import bar_says, drill_of, drill_words, left_out, two_voices_bars
from trainer.reports.wording import begun
from trainer.section.copies import Copies
from trainer.section.places import Place

SECTIONS = {"soprano": "sopranos", "alto": "altos", "tenor": "tenors", "bass": "basses"}


def stands_together(
    voice: str, copies: Copies, bars: tuple[int, int], place: Place, number_of: tuple[int, int]
) -> Standing:
    """All of them on one place; *number_of* is its number and how many there are."""
    called = copies.called_span(*bars)
    why = f"Bar {copies.called_span(place.first, place.last)}: {place.says}." if place.says else ""
    number, count = number_of
    others = f"Place {number} of {count}; < and > go to the others." if count > 1 else ""
    small = tuple(line for line in (why, others) if line)
    return Standing(SECTIONS.get(voice, voice), called, (f"bar {called}", "press", "space"), small, _each(copies, bars))


def stands_alone(desk: str, copies: Copies, bars: tuple[int, int], manner: str, waiting: int) -> Standing:
    """Whose turn it is."""
    called = copies.called_span(*bars)
    small = (
        f"Bars {called}, {manner}; {waiting} still to sing.",
        "space begins; x: rather not; 1 to 9 or < and >: somebody else first.",
    )
    return Standing(desk, called, ("next", desk, "space"), small, _each(copies, bars))


def _each(copies: Copies, bars: tuple[int, int]) -> tuple[str, ...]:
    return tuple(copies.called(bar) for bar in range(bars[0], bars[1] + 1))


def result_stands(section: Section, copies: Copies) -> Standing:
    """What it all came to: by bar and cause, and what to do next."""
    weak = section.failed()
    if not section.heard:
        large: tuple[str, ...] = ("nobody", "heard yet")
    elif not weak:
        large = ("all", "held", "space")
    else:
        large = (f"bar {copies.called(weak[0].bar)}", f"{weak[0].held} of {weak[0].sang}", "space")
    small = [f"{begun(bar_says(bar))}." for bar in weak[:2]] + left_out(section)
    drill = drill_of(section)
    if drill is not None:
        small.append(f"space: {drill_words(drill)}")
    return Standing("", "", large, tuple(small))


def own_words(section: Section, desk: Sequence[Desk], copies: Copies) -> str:
    """To a singer alone, of a section that is this desk: which of the own bars were not held, and why."""
    for one in desk:
        if one.sang_line_of is not None:
            return f"Only for you: that was the {one.sang_line_of}'s line."
        if one.two_voices:
            return f"Only for you: two voices were heard in {two_voices_bars(section, one)}; it is not judged there."
    failed = [bar for bar in section.bars if bar.held < bar.sang]
    told = [f"bar {copies.called(bar.bar)} {_cause(bar.causes[0][0].value, bar.pulled_to)}" for bar in failed]
    return f"Only for you: {'; '.join(told)}; all else held." if told else "Only for you: all held."


def _cause(sign: str, pulled_to: tuple[tuple[str, int], ...]) -> str:
    return f"pulled to the {pulled_to[0][0]}" if pulled_to else sign
