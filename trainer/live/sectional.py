"""A rehearsal of a section as a course: the section together round and round a place, desks one after another, what it came to.

Together nothing is judged: of a crowd nobody can be told apart, and the leader has ears. A desk's turn is a take like any other; how it
went is shown by bar and cause once all have sung, to a singer alone where that was asked for, and by desk never.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from trainer.judge.section import HEARD, Section, section_of
from trainer.live.choices import Choices, SungBy
from trainer.live.courses import AGAIN, ASK, WAYS, Turn
from trainer.live.section_standing import own_words, result_stands, stands_alone, stands_together
from trainer.log.rehearsals import Rehearsal
from trainer.practice.take import Performance
from trainer.reports.section import drill_of, drill_words
from trainer.section.copies import NoSuchBar
from trainer.section.labels import birds, desks_of
from trainer.section.places import Place, for_a_turn, with_run_up
from trainer.section.turns import Turns
from trainer.takes.rehearsed import Book
from trainer.takes.two_voices import TWO_VOICES

TOGETHER, TURNS, RESULT = "together", "turns", "result"
SLOWER = Fraction(9, 10)
PROPOSED_TEMPO = Fraction(4, 5)
LEAVING = frozenset(
    {
        "go",
        "easier",
        "harder",
        "turns",
        "section",
        "result",
        "pass",
        "latecomer",
        "manner",
        "fall silent",
        "bars",
        "remark",
    }
)
BARS_AND_NOTE = re.compile(r"\s*(\S*(?:\s\(\d\w*\))?)(.*)")
MANNERS = {"aloud": "private", "private": "aloud"}


class SectionCourse:
    """One rehearsal.

    Parameters
    ----------
    book : Book
        Where everything is written as it happens.
    rehearsal : Rehearsal
    places : tuple of Place
        What to rehearse, in this order; at least one.
    turns : Turns
        Who has sung in it already.
    says : str
        What is said at the beginning.
    """

    def __init__(
        self, book: Book, rehearsal: Rehearsal, places: tuple[Place, ...], turns: Turns, says: str = ""
    ) -> None:
        self._book, self._rehearsal, self._places, self._turns, self._says = book, rehearsal, places, turns, says
        self._copies = book.copies()
        self._at = 0
        self._stage = TURNS if turns.sung and turns.waiting else TOGETHER
        self._silent = "no"
        self._latest = ""
        self._section: Section | None = None
        self._drilled_from: Fraction | None = None

    @property
    def rehearsal(self) -> Rehearsal:
        """As it stands."""
        return self._rehearsal

    # ---- what a session asks

    def begin(self, choices: Choices) -> Turn:
        """The first place, or the next desk of a rehearsal that was broken off."""
        return self._next(choices, self._says)

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """Round again, or the next desk, or what it all came to."""
        take = performance.takes[0]
        if choices.sung_by.together:
            self._keep(replace(self._rehearsal, rounds=self._rehearsal.rounds + 1))
            return self._together(choices, "", ASK if take.status == "incomplete" else AGAIN)
        desk = choices.sung_by.desk
        if take.status == "incomplete":
            return self._next(choices, f"Stopped. {desk} once more, or x for rather not.")
        if take.status != HEARD and any(why == TWO_VOICES for _, _, why in take.health.gaps):
            return self._next(choices, f"Two voices were heard at once. {desk} once more alone, or x for rather not.")
        if take.status != HEARD:
            return self._next(choices, f"Nobody was heard. {desk} once more and nearer, or x for rather not.")
        self._latest = desk
        self._turns = self._turns.after(desk)
        return self._next(choices, self._own_words(desk) if self._rehearsal.manner == "private" else "")

    def asked(self, command: str, choices: Choices) -> Turn | None:
        """What a key does between takes; None for those that any session knows."""
        if command in WAYS:
            return self._moved(WAYS[command], choices)
        if command.isdecimal() and self._stage == TURNS:
            self._turns = self._turns.to(int(command) - 1)
            return self._next(choices, "")
        match command:
            case "stop":
                return self._next(choices, "Stopped; nothing of it is kept.")
            case "go" if self._stage == RESULT:
                return self._proposed(choices)
            case "turns":
                return self._begin_turns(choices)
            case "section":
                self._stage = TOGETHER
                return self._next(choices, "")
            case "result":
                return self._came_to(choices, "")
            case "pass" if self._stage == TURNS:
                self._turns = self._turns.passing()
                self._keep(replace(self._rehearsal, passed=tuple(sorted(self._turns.passed))))
                return self._next(choices, "")
            case "again" if self._stage in (TURNS, RESULT) and self._latest:
                self._stage = TURNS
                self._turns = self._turns.to(self._turns.desks.index(self._latest))
                return self._next(choices, f"{self._latest} once more.")
            case "latecomer":
                return self._joined(choices)
            case "manner":
                return self._other_manner(choices)
            case "fall silent" if self._stage == TOGETHER:
                self._silent = "yes" if self._silent == "no" else "no"
                return self._next(choices, "The voices fall silent in it." if self._silent == "yes" else "")
            case "slower" | "faster":
                return self._next(choices.quicker(SLOWER if command == "slower" else 1 / SLOWER), "")
        return None

    def told(self, question: str, words: str, choices: Choices) -> Turn | None:
        """Bars as the copies call them, a note on a bar, who the desks are."""
        try:
            match question:
                case "bars":
                    return self._chosen(words, choices)
                case "remark":
                    return self._noted(words, choices)
                case "desks":
                    return self._with_desks(words, choices)
        except (NoSuchBar, ValueError) as err:
            return replace(self._next(choices, f"{str(err)[:1].upper()}{str(err)[1:]}."), then=ASK)
        return None

    def leaves(self, command: str) -> bool:
        """As ``Course.leaves``: whatever chooses other bars or another desk, and the word to stop."""
        return command in LEAVING or command.isdecimal()

    # ---- together

    def _next(self, choices: Choices, says: str) -> Turn:
        if self._stage == TOGETHER:
            return self._together(choices, says, ASK)
        if self._stage == TURNS and self._turns.now is not None:
            return self._turn_of(self._turns.now, choices, says)
        return self._came_to(choices, says)

    def _together(self, choices: Choices, says: str, then: str) -> Turn:
        place, score = self._places[self._at], self._book.score
        first, last = with_run_up(score, place)
        silent = None
        if self._silent == "yes":
            last = min(last + 1, score.bars().bars[-1].number)
            silent = (place.first, place.last)
        standing = stands_together(self._voice(), self._copies, (first, last), place, (self._at + 1, len(self._places)))
        now = replace(
            choices, bars=(first, last), silent_bars=silent, shown="none", sung_by=SungBy(self._rehearsal.key)
        )
        return Turn(now, says, then, standing)

    def _moved(self, way: int, choices: Choices) -> Turn:
        if self._stage == TURNS:
            self._turns = self._turns.moved(way)
        else:
            self._stage = TOGETHER
            self._at = min(max(self._at + way, 0), len(self._places) - 1)
        return self._next(choices, "")

    def _chosen(self, words: str, choices: Choices) -> Turn:
        first, last = self._copies.span(words)
        place = Place(first, last, "")
        self._places = (*self._places[: self._at], place, *self._places[self._at :])
        if self._stage == TURNS:
            self._keep(replace(self._rehearsal, bars=for_a_turn(self._book.score, first, last)))
        else:
            self._stage = TOGETHER
        return self._next(choices, "")

    def _noted(self, words: str, choices: Choices) -> Turn:
        bars, note = BARS_AND_NOTE.findall(words)[0]
        first, last = self._copies.span(bars)
        called = self._copies.called_span(first, last)
        self._book.note(first, note.strip())
        known = [place for place in self._places if place.first <= first <= place.last]
        if note.strip() and not known:
            self._places = (*self._places, Place(first, last, f"your note: {note.strip()}"))
        return self._next(choices, f"Noted on bar {called}." if note.strip() else f"The note on bar {called} is gone.")

    # ---- one after another

    def _begin_turns(self, choices: Choices) -> Turn:
        if not self._turns.desks:
            return replace(self._next(choices, ""), asks="desks")
        place, bars = self._places[self._at], self._rehearsal.bars
        if self._stage != TURNS and (bars is None or not bars[0] <= place.first <= place.last <= bars[1]):
            bars = for_a_turn(self._book.score, *with_run_up(self._book.score, place))
            self._keep(replace(self._rehearsal, bars=bars))
        if self._turns.now is None:  # everybody has sung: another round
            self._turns = Turns(self._turns.desks, passed=self._turns.passed)
        self._stage, self._silent = TURNS, "no"
        desk = replace(choices.desk.with_all_others(), drone="off")
        qpm, self._drilled_from = self._drilled_from or choices.qpm, None
        return self._next(replace(choices, desk=desk, qpm=qpm), "")

    def _with_desks(self, words: str, choices: Choices) -> Turn:
        self._turns = Turns(desks_of(words))
        self._keep(replace(self._rehearsal, desks=self._turns.desks, passed=()))
        return self._begin_turns(choices)

    def _turn_of(self, desk: str, choices: Choices, says: str) -> Turn:
        first, last = self._rehearsal.bars or for_a_turn(
            self._book.score, *with_run_up(self._book.score, self._places[0])
        )
        waiting = len(self._turns.waiting)
        standing = stands_alone(desk, self._copies, (first, last), self._rehearsal.manner, waiting)
        now = replace(
            choices,
            bars=(first, last),
            silent_bars=None,
            shown="none",
            sung_by=SungBy(self._rehearsal.key, desk),
        )
        return Turn(now, says, ASK, standing)

    def _own_words(self, desk: str) -> str:
        """To a singer alone: which of the own bars were not held, and why."""
        mine = [one for one in self._book.desks(self._rehearsal.key) if one.label == desk]
        score, line = self._book.score, self._book.line_index
        section = section_of(score.title, len(score.lines), self._voice(), line + 1, mine)
        return own_words(section, mine[:1], self._copies)

    def _joined(self, choices: Choices) -> Turn:
        (label,) = birds(1, self._turns.desks)
        self._turns = self._turns.joined(label)
        self._keep(replace(self._rehearsal, desks=self._turns.desks))
        return self._next(choices, f"One desk more: {label}.")

    def _other_manner(self, choices: Choices) -> Turn:
        manner = MANNERS[self._rehearsal.manner]
        self._keep(replace(self._rehearsal, manner=manner))
        says = (
            "Private: after a turn the singer sees the own bars."
            if manner == "private"
            else "Aloud: nobody's bars are shown."
        )
        return self._next(choices, says)

    # ---- what it came to

    def _came_to(self, choices: Choices, says: str) -> Turn:
        self._stage = RESULT
        section = self._section = self._book.section(self._rehearsal.key)
        standing = result_stands(section, self._copies)
        return Turn(replace(choices, sung_by=SungBy(self._rehearsal.key)), says, ASK, standing)

    def _proposed(self, choices: Choices) -> Turn:
        """The weakest bar, slowly, against the voice that drew most."""
        section = self._section
        drill = None if section is None else drill_of(section)
        self._stage = TOGETHER
        if drill is None:
            self._at = min(self._at + 1, len(self._places) - 1)
            return self._together(choices, "", ASK)
        place = Place(min(drill.first_bar + 1, drill.last_bar), drill.last_bar, "what was not held")
        self._places, self._at = (place, *self._places), 0
        names = self._book.score.voice_names()
        desk = choices.desk.with_all_others()
        if drill.against in names:
            desk = replace(desk, muted=frozenset(range(len(names))) - {names.index(drill.against), desk.own})
        self._drilled_from = self._drilled_from or choices.qpm  # at which desks sing again
        slower = replace(choices, desk=desk, qpm=self._drilled_from).quicker(PROPOSED_TEMPO)
        return self._together(slower, f"Next: {drill_words(drill)}", AGAIN)

    def _voice(self) -> str:
        return self._book.score.voice_names()[self._book.line_index]

    def _keep(self, rehearsal: Rehearsal) -> None:
        self._rehearsal = rehearsal
        self._book.keep(rehearsal)
