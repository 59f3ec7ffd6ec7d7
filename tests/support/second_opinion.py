"""A score as the second checker reads it, and what that finds."""

from __future__ import annotations

import second_checker
from fault_vectors import scale

from trainer.rules.piece import Piece
from trainer.score.model import Score


def second_opinion(score: Score, species: tuple[str, ...] | None = None) -> list[second_checker.Finding]:
    """Every forbidden thing that the second checker finds; species are the score's own where none are given."""
    lines = tuple(
        tuple((note.onset_quarters, note.length_quarters, str(note.pitch)) for note in line.notes)
        for line in score.lines
    )
    final, mode = score.fact("mode").split()
    return second_checker.check(
        second_checker.Piece(
            lines,
            species or Piece(score).species,
            score.fact("rules"),
            final,
            scale=scale(score.fact("mode")),
            minor=mode == "minor",
            names=score.voice_names(),
        )
    )
