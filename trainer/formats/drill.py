"""The project's own drill text: four voices by hand in two minutes.

::

    title: Two Oars
    meter: 4/4
    mode: D dorian
    tempo: 72
    species: 4
    cantus: bass
    sing: soprano
    level: 5
    crux: three 7-6 clashes in a row
    compass: C#4 A4

    soprano | . A4 | - G | - F | - E | - C#' | D |
    bass    | D3   | B2  | A   | G   | E     | D |
    soprano words: One oar two oars drift ing

A line is a header (``name: value``) or a voice (``name | bar | bar |``, top voice first); a voice goes on in any later line with
the same name. ``;`` begins a remark: a whole line, or the end of a voice's line.

* **The words of a bar share it evenly**: one word lasts the whole bar, two a half each, four a quarter each in 4/4.
* ``-`` holds the note on for one more share, over the bar line too (a tie); ``.`` is a rest.
* A comma puts several into one share: ``A - - G,F`` is a dotted half and two eighths; ``C,D,E`` a triplet.
* A note is a letter with ``#``, ``b``, ``##`` or ``bb`` as it sounds (the signature adds nothing) and, where needed, its octave:
  without one it is the nearest to the note before, a fourth or less by letters. C4 is middle C.
* ``'`` behind a word is a breath mark. ``NAME words:`` gives a syllable a note, ``.`` for none, ``_`` for a space inside one.
* ``mode`` sets the signature too; ``key: 2 flats`` sets it alone. ``tempo`` is quarters a minute, 60 when not said. Changes of
  meter, key and tempo stand behind a comma: ``meter: 4/4, 3/2 from bar 9``, ``tempo: 72, 60 from bar 7 beat 3``.
* ``pickup: 1`` makes the first bar a bar 0 of so many beats. ``printed: 5 6 6a`` gives the bars other numbers on paper.
* ``fact NAME: value`` keeps anything else that the file should say of itself.
"""

from __future__ import annotations

from trainer.formats import FORMATS, Format
from trainer.formats._drill_bars import bar_words
from trainer.formats._drill_read import Cover, read, read_cover
from trainer.formats._drill_words import HEADERS
from trainer.formats._drill_write import write

__all__ = ["Cover", "bar_words", "read", "read_cover", "write"]


def _sniff(content: bytes) -> bool:
    """Whether a header that only this format has stands in the first lines."""
    head = content[:4096].replace(b"\x00", b"")
    names = {line.split(b":")[0].strip().lower().decode("latin-1") for line in head.splitlines() if b":" in line}
    return bool(names & set(HEADERS)) and b"|" in content


FORMATS.add("drill", Format("drill text", (".drill",), _sniff, read, write), __name__)
