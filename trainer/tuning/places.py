"""Notes of a line that are worth holding: thirds and fifths of chords, leading notes, suspensions.

A third or fifth is told by the chord's root, whatever note is lowest; a leading note is one that goes to its final; a suspension is one
that is prepared and resolved by step (as ``trainer.rules`` reads it). The same sounds are taken once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import zip_longest

from trainer.rules.chord import Chord, chord_of
from trainer.rules.piece import FREE, Piece
from trainer.rules.suspension import ORNAMENTED, RESOLVED
from trainer.rules.texture import Slice, Tone, joined
from trainer.score.model import Score
from trainer.score.naming import Names, letter
from trainer.score.time import bar_named
from trainer.singable.part import Part

THIRD, FIFTH, LEADING, SUSPENSION = "third", "fifth", "leading", "suspension"
KINDS = (THIRD, FIFTH, LEADING, SUSPENSION)
MEMBERS = {3: THIRD, 5: FIFTH}
WHOLE = frozenset({"major", "minor"})
PERFECT_FIFTH = 7

Moment = tuple[int | None, ...]
"""Index of the note that each line sounds, top line first; None where it rests."""


_LETTERS_SAID = re.compile(r"\b(of|to|over) ([A-G](?:#{1,2}|b{1,2})?)(?![\w#])")


@dataclass(frozen=True, slots=True)
class Place:
    """A note to hold, as it stands in its piece.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    bar, printed_bar, beat
        Where it is: the bar in reading order, and as it is printed.
    says : str
        As in "third of G minor", "leading note to D", "7-6 suspension".
    moments : tuple of Moment
        Which notes sound: the held one's moment, with the resolution after it and a suspension's preparation before.
    held : int
        Which of the moments is the one to be held.
    """

    kind: str
    bar: int
    printed_bar: str
    beat: Fraction
    says: str
    moments: tuple[Moment, ...]
    held: int = 0

    @property
    def bar_words(self) -> str:
        """The bar, with the printed number beside it where the two differ."""
        return bar_named(self.bar, self.printed_bar)


def places(score: Score, line_index: int, kinds: Sequence[str] = KINDS) -> list[Place]:
    """Those of the kinds asked for, in the order of the line, each sound once."""
    part = Part(Piece(score, FREE), line_index)
    found, known = [], set()
    for place in _all(part):
        sounds = tuple(
            None if index is None else score.lines[line].notes[index].pitch.midi
            for moment in place.moments
            for line, index in enumerate(moment)
        )
        if place.kind in kinds and (place.kind, sounds) not in known:
            known.add((place.kind, sounds))
            found.append(place)
    return found


def some(found: Sequence[Place], most: int) -> list[Place]:
    """Not more than *most* of them, the kinds in turn and the rarest first, told in the order of the line."""
    by_kind = sorted((
        [k for k, place in enumerate(found) if place.kind == kind] for kind in KINDS
    ), key=len)  # fmt: skip
    turns = [k for turn in zip_longest(*by_kind) for k in turn if k is not None]
    return [found[k] for k in sorted(turns[:most])]


def _all(part: Part) -> Iterator[Place]:
    for tone in part.line:
        here = part.texture.slice_at(tone.on)
        suspended = part.dissonances.get(tone)
        if suspended is not None and suspended.suspension is not None:
            one = suspended.suspension
            before, at = part.texture.slice_at(tone.on), part.texture.slice_at(one.at)
            if one.outcome in (RESOLVED, ORNAMENTED) and one.resolution is not None and before and at:
                after = part.texture.slice_at(one.resolution.on)
                if after is not None and len(at.sounding) > 1:
                    yield _place(part, SUSPENSION, one.at, f"{one.figure} suspension", (before, at, after), held=1)
            continue
        if here is None or len(here.sounding) < 2:
            continue
        after_tone = part.texture.after(tone)
        mode = part.mode
        if mode is not None and mode.is_leading(tone) and after_tone is not None and joined(tone, after_tone):
            after = part.texture.slice_at(after_tone.on)
            if mode.is_final(after_tone) and after is not None:
                yield _place(part, LEADING, tone.on, f"leading note to {mode.final}", (here, after))
        chord = _consonant_chord(here)
        kind = None if chord is None else MEMBERS.get(chord.members.get(tone.letter, 0))
        if chord is not None and kind is not None and _is_perfect(here, chord, tone, kind):
            yield _place(part, kind, tone.on, f"{kind} of {_called(here, chord)}", (here,))


def says_called(says: str, names: Names) -> str:
    """What a place says of itself with its letters as *names* have them: third of Fis minor over A, leading note to H."""
    return _LETTERS_SAID.sub(lambda said: f"{said[1]} {letter(said[2], names)}", says)


def _consonant_chord(here: Slice) -> Chord | None:
    """The chord of a slice, if it is a triad without anything foreign in it."""
    chord = None if here.bass is None else chord_of(here.sounding, here.bass)
    return chord if chord is not None and (chord.quality in WHOLE or chord.quality == "incomplete") else None


def _root(here: Slice, chord: Chord) -> Tone:
    return next(tone for tone in here.sounding if tone.letter == chord.root)


def _is_perfect(here: Slice, chord: Chord, tone: Tone, kind: str) -> bool:
    return kind == THIRD or (tone.midi - _root(here, chord).midi) % 12 == PERFECT_FIFTH


def _called(here: Slice, chord: Chord) -> str:
    """As in "F# minor", or "F# minor over A" where another note of it is lowest; a bare fifth is called by its root alone."""
    root = _letter(_root(here, chord))
    called = f"{root} {chord.quality}" if chord.quality in WHOLE else root
    return called if here.bass is None or not chord.inversion else f"{called} over {_letter(here.bass)}"


def _letter(tone: Tone) -> str:
    return tone.name.rstrip("-0123456789")


def _place(part: Part, kind: str, at: int, says: str, slices: tuple[Slice, ...], held: int = 0) -> Place:
    place = part.texture.place(at)
    moments = tuple(tuple(None if tone is None else tone.place for tone in one.tones) for one in slices)
    return Place(kind, place.bar, place.printed_bar, place.beat, says, moments, held)
