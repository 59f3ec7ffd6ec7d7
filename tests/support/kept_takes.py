"""Kept takes without singing: a score's line as it would be judged, every note held but those said otherwise, put into a store."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from trainer.log.attempt import Attempt
from trainer.log.store import Store
from trainer.practice.beside import Beside
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, NoteVerdict, Performance, Take
from trainer.score.model import Score
from trainer.takes.keeping import count, put_verdict

EVERYBODY = Beside(sounding=(0, 1, 2, 3))
NOBODY = Beside(sounding=())
USUAL = Settings()


def judged(
    score: Score, line: int, faults: Mapping[int, Sign] | None = None, *, pulled_to: str = "alto", status: str = "heard"
) -> Take:
    """A take of one line with these main signs by note index."""
    bars, notes, beats = score.bars(), [], []
    for index, note in enumerate(score.lines[line].notes):
        sign = (faults or {}).get(index, Sign.HELD)
        place = bars.place(note.onset_quarters)
        silent = sign in (Sign.SILENT, Sign.UNSURE)
        notes.append(
            NoteVerdict(
                place.bar,
                place.beat,
                place.printed_bar,
                note.length_quarters,
                str(note.pitch),
                (sign,),
                start_s=None if silent else float(note.onset_quarters),
                end_s=None if silent else float(note.end_quarters),
                sung=None if silent else str(note.pitch),
                cents=None if silent else 0,
                pulled_to=pulled_to if sign is Sign.PULLED else None,
            )
        )
        beats.append(BeatVerdict(place.bar, place.beat, place.printed_bar, sign))
    return Take(
        score.title, len(score.lines), score.digest(), score.voice_names()[line], line + 1, "sung", Settings(),
        Fraction(60), 80, tuple(notes), tuple(beats), status=status,
    )  # fmt: skip


def keep(
    store: Store,
    score: Score,
    line: int,
    started_utc: str,
    faults: Mapping[int, Sign] | None = None,
    *,
    beside: Beside = EVERYBODY,
    source: str = "sung",
    settings: Settings = USUAL,
    pulled_to: str = "alto",
) -> int:
    """Put one such take into the store; its number."""
    last = store.last() or 0
    attempt = Attempt(f"{last + 1:032x}", started_utc, "0.1.0", source, score, (line,), settings, beside=beside)
    number = store.put(attempt)
    performance = Performance((judged(score, line, faults, pulled_to=pulled_to),))
    put_verdict(store, number, settings, performance)
    count(store, number, attempt, performance)
    return number
