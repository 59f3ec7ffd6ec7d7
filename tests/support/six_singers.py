"""Six kinds of singers, as rules for what is done with a written line in some company: the outside truth for ladder, cause and danger.

Imports nothing of the program, and was written before the program foretold anything. A singer is asked for one take at a time; the
same seed gives the same take. Rules are deliberately crude and differ from one another, so that no single model fits them all:

* *steady* holds the line in any company.
* *follower* takes the smaller way: where the nearest sounding voice's note, octaves folded, lies nearer to the note just sung than the
  written one does, that voice is followed for two notes.
* *lender* loses the line in a shared note: where a sounding voice just had the singer's very note, that voice is followed for the next
  two notes.
* *sinker* goes lower by some cents a bar, alone as well.
* *sight-reader* loses the line at a leap of a fourth or more, for the rest of that bar and the next, and is back after it; less often
  with the guide.
* *beginner* is wide of the notes everywhere, alone as well; the guide helps.

How often singers follow a neighbour, and where, has no published figure that we know; the shares here are our own. Scatter about notes:
Mauch, Frieler and Dixon 2014 (19 cents in the middle for mixed skill; steady singers here have less, the beginner more).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

import slips
from slips import Performance, SungNote
from written_music import Piece, Written

SLIP_SHARE = 0.8
"""How often a follower follows where the rule says that it may."""
STEADY_CENTS, BEGINNER_CENTS = 6.0, 45.0
SINKING_CENTS_A_BAR = 9.0
LOST_SHARE, LOST_SHARE_WITH_GUIDE = 0.75, 0.2
WRONG_SHARE, WRONG_SHARE_WITH_GUIDE = 0.35, 0.1
LEAP_SEMITONES = 5


@dataclass(frozen=True, slots=True)
class Company:
    """What the singer hears: voices that sound, and how much of the own line ("full", "entries" or "off")."""

    sounding: tuple[str, ...] = ()
    guide: str = "off"


@dataclass(frozen=True, slots=True)
class Sung:
    """One take: what was sung, which notes were slips, and whom each of these followed (None for no one)."""

    performance: Performance
    slipped: dict[int, str | None]


Rule = Callable[[Piece, str, Company, Random], dict[int, str | None]]


@dataclass(frozen=True, slots=True)
class Singer:
    """A kind of singer.

    Parameters
    ----------
    kind : str
    scatter_cents : float
        SD of the error of every note.
    rule : callable
        Of piece, voice, company and chance: which notes slip, and after whom.
    sinking_cents_a_bar : float
    """

    kind: str
    scatter_cents: float
    rule: Rule
    sinking_cents_a_bar: float = 0.0

    def sing(
        self,
        piece: Piece,
        voice: str,
        company: Company,
        *,
        seed: int,
        qpm: float | None = None,
        starts_at_s: float = 0.5,
    ) -> Sung:
        """One take of one line."""
        chance = Random(f"{self.kind} {seed}")
        slipped = self.rule(piece, voice, company, chance)
        notes = piece.notes(voice)
        sung = slips.as_written(piece, voice, qpm=qpm, starts_at_s=starts_at_s)
        for index, leader in sorted(slipped.items()):
            if leader is None:
                sung = slips.at_pitch(sung, index, slips.third_off(piece, voice, index))
            else:
                before = next(note.midi for note in sung if note.index == index - 1)
                sung = slips.at_pitch(sung, index, _near(before, _sounding_midi(piece, leader, notes[index])))
        if self.sinking_cents_a_bar:
            bar_s = float(piece.bar_quarters) * 60.0 / (qpm or piece.qpm)
            sung = slips.sinking(sung, cents_a_bar=self.sinking_cents_a_bar, bar_s=bar_s, from_s=starts_at_s + bar_s)
        return Sung(tuple(self._scattered(note, chance) for note in sung), slipped)

    def _scattered(self, note: SungNote, chance: Random) -> SungNote:
        # bounded, so that a steady singer is steady in every take
        wide = max(-2.5, min(2.5, chance.gauss(0.0, 1.0)))
        return replace(note, midi=note.midi + wide * self.scatter_cents / 100)


def none(piece: Piece, voice: str, company: Company, chance: Random) -> dict[int, str | None]:
    """No slip at all."""
    return {}


def smaller_way(piece: Piece, voice: str, company: Company, chance: Random) -> dict[int, str | None]:
    """Two notes after the nearest sounding voice wherever its note is the smaller way."""
    leader = nearest_voice(piece, voice, company)
    if leader is None or company.guide == "full":
        return {}
    return _followed(
        piece, voice, chance, lambda k: leader if _is_smaller_way(piece.notes(voice), k, piece, leader) else None
    )


def after_shared_note(piece: Piece, voice: str, company: Company, chance: Random) -> dict[int, str | None]:
    """Two notes after whichever sounding voice just shared the singer's note."""
    if company.guide == "full":
        return {}
    notes = piece.notes(voice)

    def leader(k: int) -> str | None:
        for other in company.sounding:
            theirs = piece.sounding(other, notes[k - 1].onset_quarters)
            if theirs is not None and theirs.midi == notes[k - 1].midi:
                return other
        return None

    return _followed(piece, voice, chance, leader)


def lost_at_leaps(piece: Piece, voice: str, company: Company, chance: Random) -> dict[int, str | None]:
    """From a wide leap to the end of the next bar a third off."""
    notes = piece.notes(voice)
    share = LOST_SHARE_WITH_GUIDE if company.guide == "full" else LOST_SHARE
    slipped: dict[int, str | None] = {}
    for k in range(1, len(notes)):
        if abs(notes[k].midi - notes[k - 1].midi) >= LEAP_SEMITONES and k not in slipped and chance.random() < share:
            until = (notes[k].onset_quarters // piece.bar_quarters + 2) * piece.bar_quarters
            for j in range(k, len(notes)):
                if notes[j].onset_quarters < until and _has_third(piece, voice, j):
                    slipped[j] = None
    return slipped


def wide_of_it(piece: Piece, voice: str, company: Company, chance: Random) -> dict[int, str | None]:
    """Any note a third off, now and then."""
    share = WRONG_SHARE_WITH_GUIDE if company.guide == "full" else WRONG_SHARE
    return {k: None for k in range(len(piece.notes(voice))) if chance.random() < share and _has_third(piece, voice, k)}


STEADY = Singer("steady", STEADY_CENTS, none)
FOLLOWER = Singer("follower", STEADY_CENTS, smaller_way)
LENDER = Singer("lender", STEADY_CENTS, after_shared_note)
SINKER = Singer("sinker", STEADY_CENTS, none, SINKING_CENTS_A_BAR)
SIGHT_READER = Singer("sight-reader", STEADY_CENTS * 2, lost_at_leaps)
BEGINNER = Singer("beginner", BEGINNER_CENTS, wide_of_it)
SINGERS = (STEADY, FOLLOWER, LENDER, SINKER, SIGHT_READER, BEGINNER)


def nearest_voice(piece: Piece, voice: str, company: Company) -> str | None:
    """The sounding voice that stands nearest in the score, the one above before the one below."""
    order = piece.voices
    own = order.index(voice)
    sounding = [name for name in company.sounding if name != voice]
    return min(sounding, key=lambda name: (abs(order.index(name) - own), order.index(name)), default=None)


def _is_smaller_way(notes: tuple[Written, ...], k: int, piece: Piece, leader: str) -> bool:
    theirs = piece.sounding(leader, notes[k].onset_quarters)
    if theirs is None:
        return False
    before, own = notes[k - 1].midi, notes[k].midi
    return (theirs.midi - own) % 12 != 0 and abs(_near(before, theirs.midi) - before) < abs(own - before)


def _near(before: float, midi: int) -> float:
    """The pitch of that name nearest to what was sung before."""
    return midi + 12.0 * round((before - midi) / 12)


def _followed(
    piece: Piece, voice: str, chance: Random, leader_at: Callable[[int], str | None]
) -> dict[int, str | None]:
    """Pairs of notes after a leader, wherever *leader_at* names one and the voice sounds through both."""
    notes = piece.notes(voice)
    slipped: dict[int, str | None] = {}
    for k in range(1, len(notes) - 1):
        leader = leader_at(k)
        if leader is None or k in slipped or chance.random() >= SLIP_SHARE:
            continue
        if all(piece.sounding(leader, notes[j].onset_quarters) is not None for j in (k, k + 1)):
            slipped[k] = slipped[k + 1] = leader
    # a shared note is no slip: nobody can hear whose it was
    return {
        k: leader
        for k, leader in slipped.items()
        if leader is not None and (_sounding_midi(piece, leader, notes[k]) - notes[k].midi) % 12
    }


def _sounding_midi(piece: Piece, voice: str, note: Written) -> int:
    theirs = piece.sounding(voice, note.onset_quarters)
    assert theirs is not None
    return theirs.midi


def _has_third(piece: Piece, voice: str, k: int) -> bool:
    try:
        slips.third_off(piece, voice, k)
    except ValueError:
        return False
    return True
