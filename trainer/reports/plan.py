"""What to do today in words: each step with the command that does it, and the reason."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from trainer.plan import today
from trainer.plan.today import Step
from trainer.reports.look import Look
from trainer.reports.wording import count_words
from trainer.score.time import bars_named

SCHEMA = "heldline.plan/1"
VOICES = ("soprano", "alto", "tenor", "bass")
MOST_SHOWN = 6
"""As much as a quarter of an hour holds (our own)."""

CAUTION = (
    "Stop if it hurts, burns or makes you hoarse. Hoarse for more than two weeks, or voice lost suddenly: see a laryngologist "
    "or a speech-language pathologist."
)


@dataclass(frozen=True, slots=True)
class Known:
    """How an exercise is called for in a command: its title where the library has it, else a kept take of it.

    *semitones* is how far up from the written key it was sung last, *printed* what the file prints for each of its bars.
    """

    title: str
    take: int
    origin: str
    semitones: int = 0
    printed: Mapping[int, str] = field(default_factory=dict)

    @property
    def score(self) -> str:
        """What stands for SCORE."""
        if self.origin != "library":
            return f"--again {self.take}"
        way = f" --{'up' if self.semitones > 0 else 'down'} {abs(self.semitones)}" if self.semitones else ""
        return f'"{self.title}"{way}'


def command(step: Step, known: Mapping[int, Known]) -> str:
    """What to type for a step; "" where there is nothing to type."""
    if step.kind in (today.REST, today.ENOUGH):
        return ""
    if step.kind == today.NEW or step.exercise is None:
        return "heldline sing --fresh"
    score = known[step.exercise].score
    if step.bars is not None:
        return f"heldline drill {score} --voice {_quoted(step.voice)} --bars {step.bars[-1]}"
    return f"heldline sing {score} --voice {_quoted(step.voice)}"


def compose_command(aim: str, voice: str, compass: str = "") -> str:
    """What makes an exercise with the weak spots *aim* for the voice that was sung last, within *compass* where one is known."""
    if compass:
        aim = f"{aim}, compass {compass}"
    line = voice if voice in VOICES else "alto"
    species, cantus = "4" if "clashes" in aim else "3", "soprano" if line == "bass" else "bass"
    return f'heldline compose --parts 4 --species {species} --cantus {cantus} --line {line} --for "{aim}" -o practice.drill'


def says(step: Step, known: Mapping[int, Known]) -> str:
    """The reason, as a sentence without its full stop."""
    title = known[step.exercise].title if step.exercise is not None else ""
    match step.kind:
        case today.REST:
            return f"rest your voice for five minutes: you have sung for {count_words(step.minutes, 'minute')} without a rest"
        case today.ENOUGH:
            return f"enough singing for today, {count_words(step.minutes, 'minute')}; read or hear a line instead"
        case today.WEAK if step.bars is not None:
            bars = bars_named(range(step.bars[0], step.bars[1] + 1), _printed(step, known))
            return f"{title}, {step.voice}: {bars}, where it failed last time"
        case today.DUE:
            since = "is due today" if not step.days else f"was due {count_words(step.days, 'day')} ago"
            return f"{title}, {step.voice}, {since}"
        case today.NEXT_VOICE:
            return f"{title}: the {step.voice} is not sung yet"
        case _:
            return "something new: one new line a day is enough"


def plan_as_text(steps: Sequence[Step], known: Mapping[int, Known], look: Look, *, besides: Sequence[str] = ()) -> str:
    """One step a block, the command under its reason, and the usual caution."""
    lines: list[str] = []
    for number, step in enumerate(steps[:MOST_SHOWN], start=1):
        told = says(step, known)
        lines += textwrap.wrap(
            f"{told[:1].upper()}{told[1:]}.", look.width, initial_indent=f"{number}. ", subsequent_indent="   "
        )
        if command(step, known):
            lines.append(f"   {command(step, known)}")
    if len(steps) > MOST_SHOWN:
        lines.append(f"And {len(steps) - MOST_SHOWN} more; what is not done today comes first tomorrow.")
    if not steps:
        lines += textwrap.wrap("Nothing is due today, and one new line was sung: that is enough.", look.width)
    for told in (*besides, CAUTION):
        # what is to be typed is never broken into lines
        lines += [f"   {told}"] if told.startswith("heldline ") else ["", *textwrap.wrap(told, look.width)]
    return "\n".join(lines)


def plan_to_json(
    steps: Sequence[Step], known: Mapping[int, Known], *, aim: str, voice: str, compass: str = ""
) -> dict[str, Any]:
    """The same for programs; *aim* is what ``compose --for`` may be given, *voice* the one sung last, *compass* the singer's."""
    return {
        "schema": SCHEMA,
        "steps": [
            {
                "kind": step.kind,
                "title": known[step.exercise].title if step.exercise is not None else None,
                "voice": step.voice or None,
                **_bars_to_json(step, known),
                "days": step.days,
                "minutes": step.minutes,
                "says": says(step, known),
                "command": command(step, known) or None,
            }
            for step in steps
        ],
        "weak": aim or None,
        "compose": compose_command(aim, voice, compass) if aim else None,
    }


def _printed(step: Step, known: Mapping[int, Known]) -> Mapping[int, str]:
    return known[step.exercise].printed if step.exercise is not None else {}


def _bars_to_json(step: Step, known: Mapping[int, Known]) -> dict[str, Any]:
    """First and last bar, with what the file prints for them where that is another number."""
    if step.bars is None:
        return {"bars": None}
    counted, printed = [str(bar) for bar in step.bars], [_printed(step, known).get(bar, str(bar)) for bar in step.bars]
    return {"bars": list(step.bars)} | ({"printed_bars": printed} if printed != counted else {})


def _quoted(word: str) -> str:
    return f'"{word}"' if " " in word else word
