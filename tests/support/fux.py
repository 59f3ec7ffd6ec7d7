"""Fux's worked figures as they lie in tests/golden/fux, and what is known of each."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from trainer.formats import read_path
from trainer.score.model import Score

FOLDER = Path(__file__).parents[1] / "golden" / "fux"

Found = tuple[str, str]
"""A rule, and the bars it is found in, such as 8-9."""

# Every forbidden finding that a figure outside the clean ones has under strict16, and why the figure is not clean.
NOT_CLEAN: dict[str, tuple[str, tuple[Found, ...]]] = {
    "110": ("B flat and B in one voice: a licence of the mode on F", (("chromatic-step", "5-6"),)),
    "116": ("his licence: whole notes leave no other way (dialogue at figs 177 to 179)", (("direct-fifth", "6-7"),)),
    "125": ("a slip of the print or the transcription, not seen in a print", (("parallel-octave", "3-4"),)),
    "129": ("fifths by contrary motion, his licence", (("antiparallel-fifth", "8-9"),)),
    "159": ("a leap to a seventh on a second quarter, read as an ornament of the tie: to avoid", ()),
    "165": ("a slip of the transcription: G3 for A3 in the last chord", (("fourth-vs-bass", "11-11"),)),
    "167": ("his licence, as in fig 116", (("direct-fifth", "8-9"),)),
    "169": ("B flat and B in one voice: a licence of the mode on F", (("chromatic-step", "5-6"),)),
    "176": ("not seen in a print; the lines are not in the order of pitch", (("parallel-fifth", "7-8"),)),
    "181": ("his licence, as in fig 116", (("direct-fifth", "2-3"),)),
    "184": (
        "not seen in a print: octaves over two bar lines, a doubled G sharp, a seventh struck",
        (
            ("double-tendency", "1-1"),
            ("double-tendency", "1-1"),
            ("parallel-octave", "1-2"),
            ("parallel-octave", "7-8"),
            ("seventh-allowed", "7-7"),
        ),
    ),
    "204": ("passing quarters against held notes, three species at once: lawful, to avoid", ()),
}


@cache
def figures() -> dict[str, Score]:
    """Every figure by its number."""
    return {path.stem: read_path(path) for path in sorted(FOLDER.glob("*.krn"))}
