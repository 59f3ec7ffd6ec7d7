"""A weighed line as people are told of it: notes called as the reader calls them, bars with their printed numbers.

JSON keeps scientific names and bars in reading order.
"""

from __future__ import annotations

from dataclasses import replace

from trainer.reports.singable import Looked
from trainer.score.naming import Names, letter, sentence
from trainer.score.time import Bars
from trainer.singable.danger import Spot
from trainer.singable.suggest import Move
from trainer.singable.weigh import Weighed


def looked_called(looked: Looked, names: Names, bars: Bars) -> Looked:
    """The same line, every note and sentence of it under the letters of *names*, *bars* being the score's."""
    by = looked.by_takes
    return replace(
        looked,
        weighed=_weighed(looked.weighed, names, bars),
        changes={
            index: replace(one, before=sentence(one.before, names), after=sentence(one.after, names))
            for index, one in looked.changes.items()
        },
        dangers=tuple(_spot(spot, names) for spot in looked.dangers),
        move=None if looked.move is None else _move(looked.move, names),
        by_takes=None if by is None else replace(by, weighed=_weighed(by.weighed, names, bars)),
        stumbled=None if looked.stumbled is None else replace(looked.stumbled, names=names),
    )


def _weighed(weighed: Weighed, names: Names, bars: Bars) -> Weighed:
    notes = tuple(
        replace(
            note,
            name=sentence(note.name, names),
            reasons=tuple(
                replace(reason, says=bars.beside(sentence(reason.says, names)), advice=bars.beside(reason.advice))
                for reason in note.reasons
            ),
        )
        for note in weighed.notes
    )
    lowest, highest = (sentence(name, names) for name in (weighed.lowest, weighed.highest))
    return replace(weighed, notes=notes, lowest=lowest, highest=highest)


def _spot(spot: Spot, names: Names) -> Spot:
    return replace(spot, dangers=tuple(replace(one, words=sentence(one.words, names)) for one in spot.dangers))


def _move(move: Move, names: Names) -> Move:
    before, after = (_key(words, names) for words in (move.before, move.after))
    return replace(move, before=before, after=after)


def _key(words: str, names: Names) -> str:
    """As in "B dorian"."""
    final, _, mode = words.partition(" ")
    return f"{letter(final, names)} {mode}"
