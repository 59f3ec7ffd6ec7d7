"""A section's line for its leader: bars and causes, one note to paste, and people only when they are asked for."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Any

from trainer.judge.remarks import FEWEST_WRONG
from trainer.judge.section import HEARD, Desk, Section, SectionBar
from trainer.practice.signs import Sign
from trainer.practice.take import Take
from trainer.reports.look import Look
from trainer.reports.wording import bar_words, bars_words, begun, count_words
from trainer.score.time import bars_named

SCHEMA = "heldline.section/1"


@dataclass(frozen=True, slots=True)
class Drill:
    """What to do next: bars with a bar of run-up, the bars in words, and the one other voice to sing against, "" for none."""

    first_bar: int
    last_bar: int
    named: str
    against: str


def drill_of(section: Section) -> Drill | None:
    """The bar that fewest held with the bar before it, against the voice that drew most; None when everybody held every bar."""
    worst = section.failed(1)
    if not worst:
        return None
    first = section.bars[0].bar
    before, bar = max(first, worst[0].bar - 1), worst[0].bar
    against = worst[0].pulled_to[0][0] if worst[0].pulled_to else ""
    return Drill(before, bar, bars_named((before, bar), _printed(section)), against)


def _printed(section: Section) -> dict[int, str]:
    return {one.bar: one.printed_bar for one in section.bars}


def section_to_json(section: Section, *, persons: bool) -> dict[str, Any]:
    """One object; labels stand in it only where *persons* were asked for."""
    drill = drill_of(section)
    told: dict[str, Any] = {
        "schema": SCHEMA,
        "score": {"title": section.title, "parts": section.parts},
        "voice": section.voice,
        "voice_number": section.voice_number,
        "desks": len(section.desks),
        "heard": section.heard,
        "other_lines": _other_lines(section),
        "two_voices": [list(desk.two_voices) for desk in section.desks if desk.two_voices],
        "out_of_time": len(_out_of_time(section)),
        "bars": [_bar_to_json(bar, persons) for bar in section.bars],
        "next": None
        if drill is None
        else {"first_bar": drill.first_bar, "last_bar": drill.last_bar, "against": drill.against or None},
        "note": note_to_paste(section) if section.desks else None,  # of a crowd no bar is told
    }
    if persons:
        told["persons"] = [
            {
                "label": desk.label,
                "status": desk.take.status,
                "sang_line_of": desk.sang_line_of,
                "two_voices": list(desk.two_voices),
                "octave_shift": desk.take.octave_shift,
                "result": desk.take.result(),
            }
            for desk in section.desks
        ]
    return told


def _other_lines(section: Section) -> dict[str, int]:
    found: dict[str, int] = {}
    for desk in section.desks:
        if desk.sang_line_of is not None:
            found[desk.sang_line_of] = found.get(desk.sang_line_of, 0) + 1
    return found


def _bar_to_json(bar: SectionBar, persons: bool) -> dict[str, Any]:
    told: dict[str, Any] = {
        "bar": bar.bar,
        "sang": bar.sang,
        "held": bar.held,
        "pulled_to": dict(bar.pulled_to),
        "causes": {sign.value: count for sign, count in bar.causes},
    }
    if bar.printed_bar != str(bar.bar):
        told["printed_bar"] = bar.printed_bar
    if persons:
        told["not_held_by"] = list(bar.weak_desks)
    return told


def section_as_text(section: Section, look: Look, *, persons: bool, advice: str = "") -> str:
    """The weak bars first, then every bar in a line, then what to do next; *advice* is for desks that are out of time all through."""
    head = f"{section.title}: {section.voice}, {count_words(len(section.desks), 'desk')}, {section.heard} heard"
    lines = [look.paint(line, "head") for line in textwrap.wrap(head, look.width, subsequent_indent="  ")]
    weak = section.weakest()
    for bar in weak:
        told = textwrap.wrap(bar_says(bar), look.width, initial_indent="  ", subsequent_indent="    ")
        lines += [look.paint(line, "note") for line in told]
    if not weak:
        says = "every bar was held by half of them or more" if _sang(section) else nobody_says(section)
        lines += textwrap.wrap(says, look.width, initial_indent="  ", subsequent_indent="    ")
    lines += ["", *textwrap.wrap(_row(section), look.width, subsequent_indent="  ")]
    for sentence in (*left_out(section), *_misfit(section, advice)):
        lines += textwrap.wrap(sentence, look.width)
    drill = drill_of(section)
    if drill is not None:
        lines += ["", *textwrap.wrap(f"Next: {drill_words(drill)}", look.width, subsequent_indent="  ")]
    lines += [
        "",
        "To paste:",
        *textwrap.wrap(note_to_paste(section), look.width, initial_indent="  ", subsequent_indent="  "),
    ]
    if persons:
        lines += ["", "By desk, for the leader only:"]
        lines += [line for desk in section.desks for line in _desk_lines(section, desk.label, look)]
    return "\n".join(lines)


def left_out(section: Section) -> list[str]:
    """One sentence for every other voice whose line was sung, and one for every desk at which two sang at once."""
    told = [
        f"{count_words(count, 'desk')} sang the {voice}'s line and {'is' if count == 1 else 'are'} left out of the bars."
        for voice, count in _other_lines(section).items()
    ]
    return told + [
        f"Two voices heard in {two_voices_bars(section, desk)} of one desk: it is not judged there."
        for desk in section.desks
        if desk.two_voices
    ]


def _misfit(section: Section, advice: str) -> list[str]:
    """One sentence where half of the desks or more have the notes, and the score has them elsewhere in time."""
    found, sang = len(_out_of_time(section)), sum(desk.counts for desk in section.desks)
    if not found or 2 * found < sang:
        return []
    says = f"At {found} of {count_words(sang, 'desk')} most notes do not fall where the score has them."
    return [f"{says} {advice}".rstrip()]


def _out_of_time(section: Section) -> list[Desk]:
    return [desk for desk in section.desks if desk.counts and _mostly_late_or_early(desk.take)]


def _mostly_late_or_early(take: Take) -> bool:
    timed = [note for note in take.notes if note.onset_error_ms is not None]
    wrong = sum(bool({Sign.LATE, Sign.EARLY} & set(note.signs)) for note in timed)
    return wrong >= FEWEST_WRONG and 2 * wrong >= len(timed)


def two_voices_bars(section: Section, desk: Desk) -> str:
    """The bars in which two voices were heard."""
    return bars_named(desk.two_voices, _printed(section))


def bar_says(bar: SectionBar) -> str:
    """As in: bar 6: 2 of 7 held; 4 pulled to the soprano."""
    told = [f"{bar.held} of {bar.sang} held"]
    told += [f"{count} pulled to the {voice}" for voice, count in bar.pulled_to]
    told += [f"{count} {sign.value}" for sign, count in bar.causes if sign is not Sign.PULLED]
    return f"{bar_words(bar)}: {'; '.join(told)}"


def _row(section: Section) -> str:
    """All bars in short: how many held of how many."""
    told = ", ".join(
        f"{bar_words(bar).removeprefix('bar ')}: {bar.held}/{bar.sang}" for bar in section.bars if bar.sang
    )
    return f"Held, bar by bar: {told}" if told else "No bar can be told."


def _sang(section: Section) -> bool:
    """Whether anybody sang this line in any bar."""
    return any(bar.sang for bar in section.bars)


def nobody_says(section: Section) -> str:
    """Why no bar can be told: silence is not a bar held, and another voice's line says nothing of this one."""
    return "nobody was heard on this line" if section.heard else "nobody was heard"


def drill_words(drill: Drill) -> str:
    """What to do next in one sentence."""
    against = f"; first against the {drill.against} only, then against all" if drill.against else ""
    return f"loop {drill.named}, slowly{against}."


def note_to_paste(section: Section) -> str:
    """A message for whoever plans the next rehearsal: three bars at most, no names."""
    if not _sang(section):
        return f"{section.title}, {section.voice}: {nobody_says(section)}."
    weak = section.weakest()
    who = f"{section.title}, {section.voice}:"
    if not weak:
        return f"{who} every bar held by half of them or more."
    drill = drill_of(section)
    then = f" Next: {drill_words(drill)}" if drill is not None else ""
    return f"{who} {'. '.join(begun(bar_says(bar)) for bar in weak)}.{then}"


def _desk_lines(section: Section, label: str, look: Look) -> list[str]:
    desk = next(one for one in section.desks if one.label == label)
    if desk.take.status != HEARD:
        says = f"two voices heard in {two_voices_bars(section, desk)}" if desk.two_voices else desk.take.status
    elif desk.sang_line_of is not None:
        says = f"sang the {desk.sang_line_of}'s line"
    else:
        weak = [bar for bar in section.bars if label in bar.weak_desks]
        says = f"not held: {bars_words(weak)}" if weak else "all held"
        if desk.two_voices:
            says = f"two voices heard in {two_voices_bars(section, desk)}, not judged there; else {says}"
    return textwrap.wrap(f"{label}: {says}", look.width, initial_indent="  ", subsequent_indent="    ")
