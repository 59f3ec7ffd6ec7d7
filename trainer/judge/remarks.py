"""What a report says once of a whole take, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from audio.units import whole_cents
from trainer.judge.other_key import other_key
from trainer.judge.trend import Trend
from trainer.practice.plan import Plan
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict
from trainer.practice.timemap import TimeMap
from trainer.score.time import bar_named

OFFSET_CENTS = 15
FEWEST_WRONG = 3
ONLY_OURS = "No voice could be told apart from the played ones."


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do about a take that could not be judged well, said behind a remark.

    Parameters
    ----------
    misfit : str
        Where most notes are not the line's; "" for nothing.
    only_ours : str
        Where no voice could be told apart from the played ones.
    """

    misfit: str
    only_ours: str


ANOTHER_KEY = "than written: taken so"
"""In the sentence on another key, which says how a take that fits nowhere as written does fit."""

LIVE = Advice("", "If somebody sang, use headphones or sing nearer to the microphone.")
RECORDING = Advice(
    "Of a recording, --tempo and --starts-at say where the music stands; made without our click it needs --time free.",
    "If somebody sang, use headphones or sing nearer to the microphone; "
    "for a recording without the other voices in it add --alone.",
)


def remarks(
    plan: Plan,
    notes: Sequence[NoteVerdict],
    *,
    shift: int,
    trend: Trend | None,
    time: TimeMap,
    voice: str,
    advice: Advice,
) -> tuple[str, ...]:
    """Sentences on octave, offset, drift, another voice's line, another key and a misfit, those that apply."""
    said = []
    heard = [n for n in notes if n.expected is not None and n.sign not in (Sign.SILENT, Sign.UNSURE)]
    taken_off = whole_cents(trend.offset_c100) if trend is not None and plan.settings.alone else 0
    moved = None
    if _followed(heard) is None and (trend is None or trend.drift_c100 is None):
        moved = other_key(heard, shift=shift, taken_off_cents=taken_off, tolerance_cents=plan.settings.tolerance_cents)
    if moved is not None:
        said.append(f"Sung {moved[0]} {ANOTHER_KEY}, {moved[1]} of {len(heard)} notes are in tune.")
    elif shift:
        octaves = "an octave" if abs(shift) == 1 else "two octaves"
        said.append(f"Read {octaves} {'higher' if shift > 0 else 'lower'} than written, all through.")
    if trend is not None and moved is None:
        said += _tuning(plan, notes, trend, time)
    if plan.settings.time == "fixed" and moved is None:
        said += _misfit(heard, voice, advice.misfit)
    return tuple(said)


def _tuning(plan: Plan, notes: Sequence[NoteVerdict], trend: Trend, time: TimeMap) -> list[str]:
    if trend.drift_c100 is not None:
        cents = whole_cents(trend.drift_c100)
        place = plan.bars.place(max(time.quarters(trend.from_frame), plan.bars.bars[0].onset_quarters))
        way, bar = "Sank" if cents < 0 else "Rose", bar_named(place.bar, place.printed_bar)
        return [f"{way} by {abs(cents)} cents from {bar} on{_gathered(notes, cents)}."]
    cents = whole_cents(trend.offset_c100)
    if abs(cents) < OFFSET_CENTS:
        return []
    return [f"The whole take lies {abs(cents)} cents {'low' if cents < 0 else 'high'}{_gathered(notes, cents)}."]


def _gathered(notes: Sequence[NoteVerdict], cents: int) -> str:
    sign = Sign.FLAT if cents < 0 else Sign.SHARP
    count = sum(1 for note in notes if note.sign is sign)
    if not count:
        return ""
    return f"; {count} {sign} {'note comes' if count == 1 else 'notes come'} from this one thing"


def _misfit(heard: Sequence[NoteVerdict], voice: str, advice: str) -> list[str]:
    wrong = [n for n in heard if n.sign in (Sign.OFF, Sign.PULLED)]
    ill_timed = [n for n in heard if {Sign.LATE, Sign.EARLY} & set(n.signs) and n not in wrong]
    misfits = len(wrong) + len(ill_timed)
    if misfits < FEWEST_WRONG or 2 * misfits < len(heard):
        return []
    if len(ill_timed) > len(wrong):
        return [
            f"{misfits} of {len(heard)} notes do not fall where the score has them. Was it sung at this tempo? "
            f"{advice}".rstrip()
        ]
    followed = _followed(heard)
    if followed is not None:
        other, count = followed
        return [f"This was the {other}'s line: {count} of {len(heard)} notes are the {other}'s, not the {voice}'s."]
    return [
        f"{len(wrong)} of {len(heard)} notes are not this line's. Is it the right piece and voice? {advice}".rstrip()
    ]


def _followed(heard: Sequence[NoteVerdict]) -> tuple[str, int] | None:
    """Another voice that has three of four wrong notes, and how many; None when none has."""
    wrong = [n for n in heard if n.sign in (Sign.OFF, Sign.PULLED)]
    counts = Counter(v for n in wrong for v in (*n.also_note_of, *([n.pulled_to] if n.pulled_to else [])))
    if not counts:
        return None
    other, count = min(counts.items(), key=lambda item: (-item[1], item[0]))
    return (other, count) if 4 * count >= 3 * len(wrong) else None
