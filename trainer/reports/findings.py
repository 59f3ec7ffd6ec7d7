"""What a take comes to in words: the best stretch, the worst place, what to do next, and the groups under the headings.

The next thing to do is always an action, and it begins a bar before the fault: the way into a note is where it is lost (common
practice, no source). Bars are weighed as pulled 3, wrong, another octave or silent 2, tuning or time 1 (our own weights).
Nothing here praises, ranks or compares.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import NoteVerdict, Take
from trainer.reports.wording import bars_words, cents_words, note_words, place_words
from trainer.score.time import bars_named

WEIGHTS = {
    Sign.PULLED: 3,
    Sign.OFF: 2,
    Sign.OCTAVE: 2,
    Sign.SILENT: 2,
    Sign.SHARP: 1,
    Sign.FLAT: 1,
    Sign.LATE: 1,
    Sign.EARLY: 1,
    Sign.LEFT_EARLY: 1,
}
LOST = frozenset({Sign.PULLED, Sign.OFF, Sign.OCTAVE, Sign.SILENT})
SLOWER = Fraction(4, 5)  # a fifth slower: still one breath a phrase (common practice, no source)


@dataclass(frozen=True, slots=True)
class ThreeLines:
    """What is said first."""

    best: str
    worst: str
    next: str


def three_lines(take: Take) -> ThreeLines:
    """Best, worst place and what to do next; of a take in which nothing was heard, what to try."""
    if take.status == "nothing heard":
        return _nothing_heard(take)
    written = [note for note in take.notes if note.expected is not None]
    worst = worst_note(take)
    if worst is None:
        return ThreeLines(_best(written), _no_worst(written), _next_clean(take, written))
    return ThreeLines(_best(written), f"{place_words(worst)}: {note_words(worst)}", _next(take, worst))


def worst_note(take: Take) -> NoteVerdict | None:
    """The first note of the heaviest bar at fault; None when no bar has a fault."""
    weight: dict[int, int] = {}
    for note in take.notes:
        weight[note.bar] = weight.get(note.bar, 0) + WEIGHTS.get(note.sign, 0)
    if not any(weight.values()):
        return None
    bar = min(weight, key=lambda number: (-weight[number], number))
    return max((note for note in take.notes if note.bar == bar), key=lambda note: WEIGHTS.get(note.sign, 0))


def getting_back(take: Take) -> list[str]:
    """Where the line was lost for two notes or more, and where it was found again."""
    told: list[str] = []
    lost: list[NoteVerdict] = []
    for note in (note for note in take.notes if note.expected is not None):
        if note.sign in LOST:
            lost.append(note)
            continue
        if note.sign is Sign.UNSURE and lost:
            continue  # nobody can say whether the line was back
        if len(lost) > 1:
            told.append(f"lost at {place_words(lost[0])}, back at {place_words(note)}")
        lost = []
    if len(lost) > 1:
        told.append(f"lost at {place_words(lost[0])} and not back by the end")
    return told


def _best(written: Sequence[NoteVerdict]) -> str:
    runs: list[list[NoteVerdict]] = [[]]
    for note in written:
        if note.sign in COUNTED_AS_HELD:
            runs[-1].append(note)
        elif runs[-1]:
            runs.append([])
    best = max(runs, key=len)
    if best:
        end = bars_words(best)
        return f"{end} held, {len(best)} notes running" if len(best) > 1 else f"one note held, {place_words(best[0])}"
    near = [note for note in written if note.cents is not None and note.sign in (Sign.SHARP, Sign.FLAT)]
    if near:
        nearest = min(near, key=lambda note: abs(note.cents or 0))
        return f"no note held yet; nearest was {place_words(nearest)}, {cents_words(nearest.cents or 0)}"
    on_pitch = [note for note in written if note.sign in (Sign.LATE, Sign.EARLY, Sign.LEFT_EARLY)]
    if on_pitch:
        return f"the right note in {bars_words(on_pitch)}, though not yet in time"
    return "no note held yet"


def _no_worst(written: Sequence[NoteVerdict]) -> str:
    unsure = [note for note in written if note.sign is Sign.UNSURE]
    if unsure:
        return f"none that could be told; unsure in {bars_words(unsure)}"
    return "none; every note was held"


def _next_clean(take: Take, written: Sequence[NoteVerdict]) -> str:
    unsure = [note for note in written if note.sign is Sign.UNSURE]
    if take.settings.time == "free" and not take.tempo_line and len(unsure) == len(written):
        return "give the piece and the voice that were sung"
    if unsure:
        return f"sing {bars_words(unsure)} again, nearer to the microphone or in a quieter room"
    if take.settings.alone:
        return "sing it against the other voices"
    return "once more tomorrow; after that take another voice of this score"


def _next(take: Take, note: NoteVerdict) -> str:
    begin = max(note.bar - 1, min(one.bar for one in take.notes))
    start = f"start at {bars_named((begin,), {beat.bar: beat.printed_bar for beat in take.beats})}"
    slow = f"{round(take.tempo_qpm * SLOWER)} quarters a minute"
    keyed = take.source == "keyed"
    do = "play" if keyed else "sing"
    match note.sign:
        case Sign.PULLED:
            other = note.pulled_to or "that voice"
            return f"{start}; hear {take.voice} and {other} alone, then {do} against {other} only, at {slow}"
        case Sign.OFF if note.expected is None:
            return f"{start}; count the rest aloud, then {do} on"
        case Sign.OFF:
            learn = "read the notes aloud" if keyed else "hear your line alone and hum it"
            return f"{start}; {learn}, then {do} it detached at {slow}"
        case Sign.OCTAVE:
            if note.sung == note.expected:
                return f"{start}; hear your line alone, then {do} it in one octave all through"
            return f"{start}; hear {note.expected} alone and settle its octave before you {do}"
        case Sign.SHARP | Sign.FLAT:
            return f"{start}; hold {note.expected} against the lowest voice until it stands still"
        case Sign.SILENT:
            return f"{start}; hear your line alone, then come in on the count"
        case _:
            return f"{start}; {'count aloud while you play' if keyed else 'sing the beat numbers on your notes'}, at {slow}"


def _nothing_heard(take: Take) -> ThreeLines:
    if take.source == "keyed":
        return ThreeLines(
            "no key was pressed",
            "none; nothing was judged",
            "see with heldline soundcheck that the keys arrive, or that the file holds your track (--track names it)",
        )
    return ThreeLines(
        f"no voice was heard where the {take.voice} should sing",
        "none; nothing was judged",
        "check the microphone and its level with heldline soundcheck, or a recording with heldline trace and its --starts-at",
    )
