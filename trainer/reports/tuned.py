"""How chords were held, a line each for people, and as JSON; empty for any other take."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from trainer.practice.signs import COUNTED_AS_HELD, ORDER, Sign
from trainer.practice.take import Performance, Take
from trainer.reports.called import take_called
from trainer.reports.look import Look
from trainer.reports.wording import cents_words
from trainer.score.model import Score
from trainer.score.naming import Names
from trainer.tuning.chords import chords_of
from trainer.tuning.held import HeldChord, held_chords
from trainer.tuning.places import says_called

HEADING = "Chords"
INDENT = 10


def chords_as_text(score: Score, performance: Performance, look: Look, names: Names) -> list[str]:
    """A line a chord, the first beside its heading."""
    chords = chords_of(score)
    lines: list[str] = []
    for take in performance.takes if chords else ():
        if take.status == "nothing heard":
            continue
        for k, one in enumerate(held_chords(take, chords)):
            lines += _line("" if k else HEADING, f"bar {one.chord.bar}: {chord_words(one, names)}", look)
    return lines


def advice(score: Score, take: Take) -> str:
    """What to hold next; "" where *score* is no chords, or nothing was heard of them."""
    if not chords_of(score) or take.status == "nothing heard":
        return ""
    found = held_chords(take, chords_of(score))
    worst = _worst(found)
    if worst is not None:
        lowest = next(name for k, name in reversed(list(enumerate(score.voice_names(), 1))) if k != take.voice_number)
        return f"hold it against the {lowest} alone: --of {worst.chord.kind} --with {lowest}"
    if any(one.sign is Sign.UNSURE for one in found):
        return "hold them once more, nearer to the microphone or in a quieter room"
    if take.settings.against == "equal":
        return "the same tuned purely: --against pure"
    return (
        "the same while the others sink: --sinking 20" if not take.settings.sinking_cents else "another voice's chords"
    )


def _line(heading: str, words: str, look: Look) -> list[str]:
    if look.form == "plain":
        return [f"{heading or HEADING}: {words}"]
    return textwrap.wrap(
        words,
        look.width,
        initial_indent=heading.ljust(INDENT),
        subsequent_indent=" " * (INDENT + 2),
        break_on_hyphens=False,
    )


def chord_words(one: HeldChord, names: Names) -> str:
    """As in "third of G minor, bar 4 of the piece: 12 cents flat, sank by 14 while it was held"."""
    return f"{says_called(one.chord.says, names)}: {', '.join(part for part in (_where(one), _way(one)) if part)}"


def worst_chord(take: Take, score: Score, names: Names) -> str:
    """The chord that most wants to be held again, in words; "" where all were held, steadily, or nothing was heard."""
    if take.status == "nothing heard":
        return ""
    worst = _worst(held_chords(take_called(take, names), chords_of(score)))
    return "" if worst is None else chord_words(worst, names)


def _worst(found: Sequence[HeldChord]) -> HeldChord | None:
    bad = [one for one in found if one.sign not in COUNTED_AS_HELD or one.way in ("sank", "rose")]
    return min(bad, key=lambda one: (ORDER.index(one.sign), -abs(one.cents or 0), one.chord.bar), default=None)


def chords_to_json(score: Score, take: Take) -> list[dict[str, Any]]:
    """Every chord of one line."""
    return [
        {
            "bar": one.chord.bar,
            "kind": one.chord.kind,
            "says": one.chord.says,
            "sign": one.sign.value,
            "cents": one.cents,
            "moved_cents": one.moved_cents,
            "way": one.way or None,
            "sung": one.sung,
            "pulled_to": one.pulled_to,
        }
        for one in held_chords(take, chords_of(score))
    ]


def _where(one: HeldChord) -> str:
    match one.sign:
        case Sign.PULLED:
            return f"pulled to the {one.pulled_to}" if one.pulled_to else "pulled"
        case Sign.OFF | Sign.OCTAVE:
            return f"{one.sign.value}, {one.sung} heard" if one.sung else f"{one.sign.value}, between two notes"
        case Sign.SILENT:
            return "nothing heard"
        case Sign.UNSURE:
            return "unsure"
    if one.cents is None:
        return one.sign.value
    held = "held, " if one.sign in COUNTED_AS_HELD else ""
    return f"{held}{cents_words(one.cents)}"


def _way(one: HeldChord) -> str:
    if one.sign in (Sign.PULLED, Sign.OFF, Sign.OCTAVE):
        return ""
    return f"{one.way} by {abs(one.moved_cents or 0)} while it was held" if one.way in ("sank", "rose") else one.way
