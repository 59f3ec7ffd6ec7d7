"""A rehearsal's book: what is kept of it while it goes on, and its desks brought out again from the log.

Everything is written when it happens, each in one step; the desks are always those of the log, so that a rehearsal that was killed and one
that goes on are told by the same code. What cannot be written is told once and is in nobody's way.
"""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from trainer.errors import LogError
from trainer.judge.section import HEARD, Desk, Section, section_of
from trainer.log.attempt import Attempt
from trainer.log.rehearsals import Rehearsal, Rehearsals
from trainer.log.store import Store
from trainer.places import Places
from trainer.practice.take import Take
from trainer.practice.timemap import TimeMap
from trainer.score.change import EXCERPT
from trainer.score.model import Score
from trainer.section.copies import Copies
from trainer.takes.desks import told_apart
from trainer.takes.judging import judge
from trainer.takes.keeping import open_store, utc
from trainer.takes.recalled import recalled
from trainer.takes.telling import Tell, once
from trainer.takes.two_voices import bars_of

T = TypeVar("T")


class Book:
    """What is kept of one line's rehearsals.

    Parameters
    ----------
    places : Places
    score : Score
    line_index : int
    tell : callable
        Told of what cannot be kept.
    """

    def __init__(self, places: Places, score: Score, line_index: int, tell: Tell) -> None:
        self._places, self.score, self.line_index, self._tell = places, score, line_index, once(tell)

    def last(self) -> Rehearsal | None:
        """The latest rehearsal; None where there was none, or the log cannot be read."""
        return self._asked(lambda kept, _: kept.last(self.score, self.line_index), None)

    def begun(self) -> Rehearsal:
        """A new one, not kept yet."""
        now = utc()
        return Rehearsal(secrets.token_hex(16), now, now)

    def keep(self, rehearsal: Rehearsal) -> None:
        """As it stands now."""
        now = replace(rehearsal, changed_utc=utc())
        self._asked(lambda kept, _: kept.put(now, self.score, self.line_index), None)

    def notes(self) -> dict[int, str]:
        """The leader's own by bar."""
        return self._asked(lambda kept, _: kept.notes(self.score), {})

    def note(self, bar: int, words: str) -> None:
        """Keep one."""
        self._asked(lambda kept, _: kept.note(self.score, bar, words), None)

    def copies(self) -> Copies:
        """How the bars are called."""
        return Copies(self.score, self._asked(lambda kept, _: kept.bars_added(self.score), 0))

    def add_bars(self, added: int) -> None:
        """Keep what the copies count more than the file."""
        self._asked(lambda kept, _: kept.add_bars(self.score, added), None)

    def desks(self, key: str) -> tuple[Desk, ...]:
        """Every desk that has sung, in the order in which they first did; of what was sung twice the later counts.

        Whoever was broken off is asked once more and has not sung yet.
        """
        copies = self.copies()

        def found(kept: Rehearsals, store: Store) -> tuple[Desk, ...]:
            told: dict[str, Desk] = {}
            for number, label in kept.turns(key):
                with contextlib.suppress(LogError):  # a damaged take costs nobody else their turn
                    desk = _desk(store, number, label, copies)
                    if desk.take.status != "incomplete":
                        told[label] = _later(told[label], desk) if label in told else desk
            return tuple(told.values())

        return self._asked(found, ())

    def section(self, key: str) -> Section:
        """Bars and causes of a rehearsal so far."""
        return self._section(self.desks(key))

    def _section(self, desks: Sequence[Desk]) -> Section:
        names = self.score.voice_names()
        return section_of(self.score.title, len(self.score.lines), names[self.line_index], self.line_index + 1, desks)

    def _asked(self, ask: Callable[[Rehearsals, Store], T], otherwise: T) -> T:
        try:
            with open_store(self._places, self._tell) as store:
                return ask(Rehearsals(store), store)
        except LogError as err:
            self._tell(str(err))
            return otherwise


def _desk(store: Store, number: int, label: str, copies: Copies) -> Desk:
    cover, performance = recalled(store, number)
    take = _in_the_whole(performance.takes[0], cover, copies)
    (line,) = cover.lines

    def judged(other: int) -> Take:
        attempt = store.get(number)
        heard = judge(attempt.score, (other,), attempt.heard, settings=attempt.settings, anchors=attempt.anchors)
        return heard.takes[0]

    desk = told_apart(cover.score, line, label, take, judged)
    time = TimeMap(cover.anchors) if cover.anchors else None
    bars = bars_of(take.health.gaps, cover.score, cover.settings, time)
    return replace(desk, two_voices=tuple(bar + _bars_before(cover) for bar in bars))


def _later(before: Desk, now: Desk) -> Desk:
    """A desk that sang again: its later take in place of the former, bars that only the former has beside it."""
    if now.take.status != HEARD:
        return before
    if not (before.counts and now.counts):
        return now
    again = {beat.bar for beat in now.take.beats}
    beats = [beat for beat in before.take.beats if beat.bar not in again] + list(now.take.beats)
    notes = [note for note in before.take.notes if note.bar not in again] + list(now.take.notes)
    return replace(
        now,
        take=replace(
            now.take,
            beats=tuple(sorted(beats, key=lambda beat: (beat.bar, beat.beat))),
            notes=tuple(sorted(notes, key=lambda note: (note.bar, note.beat))),
        ),
    )


def _in_the_whole(take: Take, cover: Attempt, copies: Copies) -> Take:
    """A take of some bars with the bars of the whole, called as the copies call them."""
    before = _bars_before(cover)
    beats = tuple(
        replace(beat, bar=beat.bar + before, printed_bar=copies.number(beat.bar + before)) for beat in take.beats
    )
    notes = tuple(
        replace(note, bar=note.bar + before, printed_bar=copies.number(note.bar + before)) for note in take.notes
    )
    return replace(take, beats=beats, notes=notes)


def _bars_before(cover: Attempt) -> int:
    """How many bars of the whole come before those that were sung."""
    first = cover.score.fact(EXCERPT).partition("-")[0]
    return max(0, int(first) - 1) if first.isdecimal() else 0
