"""What one rule finds in a score in a line of drill text, place by place, whatever a rule set makes of it."""

from __future__ import annotations

from written import score

from trainer.rules.declare import Settings
from trainer.rules.piece import Piece
from trainer.rules.registry import all_rules


def told(rule: str, text: str, **parameters: object) -> list[str]:
    """Every fault in the order of the music as ``2:1-3:3 1,4 outer``: bar and beat from and to, voices from 1, case if any.

    Parameters
    ----------
    parameters : in place of the rule's own
    """
    found = all_rules()[rule]
    piece = Piece(score(text))
    settings = Settings({**found.parameters, **{name: str(value) for name, value in parameters.items()}})
    faults = sorted(found.find(piece, settings), key=lambda fault: (fault.at, fault.to, fault.voices, fault.case))
    return [
        " ".join(
            [
                f"{_place(piece, fault.at)}-{_place(piece, fault.to)}",
                ",".join(str(voice + 1) for voice in fault.voices),
                *([fault.case] if fault.case else []),
            ]
        )
        for fault in faults
    ]


def words(rule: str, text: str) -> list[str]:
    """What is said of every fault."""
    piece, found = Piece(score(text)), all_rules()[rule]
    return [fault.says for fault in found.find(piece, Settings(found.parameters))]


def _place(piece: Piece, at: int) -> str:
    place = piece.texture.place(at)
    return f"{place.bar}:{float(place.beat):.4g}"
