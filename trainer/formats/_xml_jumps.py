"""Da capo, dal segno, Fine and the coda in MusicXML: by the sound that a direction gives, else by its signs and words.

Source: MusicXML 4.0, W3C Community Group Report 2021, the element "sound" (dacapo, dalsegno, segno, coda, tocoda, fine). The words
are those that print (common practice, no source).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from trainer.formats._written import Measure, Ticks

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_WORDS = (
    ("dacapo", re.compile(r"d\.?\s?c\.?(\s+(al|e|senza)\b.*)?\Z|da capo\b")),
    ("dalsegno", re.compile(r"d\.?\s?s\.?(\s+(al|e|senza)\b.*)?\Z|dal segno\b")),
    ("tocoda", re.compile(r"to coda\b|al coda\Z")),
    ("fine", re.compile(r"fine\.?\Z")),
)
_SAID_BY_SOUND = ("dacapo", "dalsegno", "segno", "coda", "tocoda", "fine")


def mark_jumps(measure: Measure, element: Element, at: Ticks) -> None:
    """Note on *measure* what a direction or sound at *at* says of jumps."""
    sounds = [element] if element.tag == "sound" else element.findall("sound")
    said = {name for sound in sounds for name in _SAID_BY_SOUND if sound.get(name) not in (None, "no")}
    if not said and element.tag == "direction":
        said = _by_words(element)
    measure.segno |= "segno" in said
    measure.coda |= "coda" in said
    measure.to_coda |= "tocoda" in said
    if "fine" in said:
        measure.fine = True
        measure.leaves_at = at
    if "dacapo" in said or "dalsegno" in said:
        measure.jump = "capo" if "dacapo" in said else "segno"
        measure.leaves_at = at


def _by_words(direction: Element) -> set[str]:
    said = set()
    for kind in direction.iterfind("direction-type/*"):
        text = " ".join((kind.text or "").lower().split()) if kind.tag == "words" else ""
        said |= {name for name, pattern in _WORDS if text and pattern.match(text)}
        if kind.tag in ("segno", "coda"):
            said.add(str(kind.tag))
    # the sign beside the words "To Coda" or "D.S." names where they lead and is not the place itself
    if "tocoda" in said:
        said.discard("coda")
    if "dalsegno" in said:
        said.discard("segno")
    return said
