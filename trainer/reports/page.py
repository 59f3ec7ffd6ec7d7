"""A score on paper: engraved by verovio (LGPL 3, an optional extra), the own part larger and its name in capitals.

Every bar carries the number that the program prints, with the file's own in brackets where that is another. Clefs, sizes and spacing
are the library's. A page is A4; what does not fit goes on to the next.
"""

from __future__ import annotations

from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from trainer.formats._xml_write import written
from trainer.score.model import Score

OTHERS_SIZE_PERCENT = 70
"""Other parts beside a large one, as scores for a singer with company have it (common practice, no source)."""

A4_TENTH_MM = (2_100, 2_970)
MARGIN_TENTH_MM = 120
OPTIONS: dict[str, Any] = {
    "pageWidth": A4_TENTH_MM[0],
    "pageHeight": A4_TENTH_MM[1],
    "pageMarginLeft": MARGIN_TENTH_MM,
    "pageMarginRight": MARGIN_TENTH_MM,
    "pageMarginTop": MARGIN_TENTH_MM,
    "pageMarginBottom": MARGIN_TENTH_MM,
    "mnumInterval": 1,
    "header": "auto",
    "footer": "none",
    "xmlIdSeed": 1,
    "svgViewBox": True,
}

HTML = """\
<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<title>{title}</title>
<style>
@page {{ size: A4; margin: 0 }}
body {{ margin: 0 }}
svg {{ display: block; width: 100%; page-break-after: always }}
</style>
{pages}
</html>
"""


def pages_of(score: Score, own: int | None, *, alone: int | None = None) -> list[str]:
    """Every page as SVG.

    Parameters
    ----------
    score : Score
    own : int or None
        The line that is larger; None makes all alike.
    alone : int or None
        Only this line.

    Raises
    ------
    ImportError
        Where verovio is not installed.
    """
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(OPTIONS)
    if not toolkit.loadData(engravable(score, own, alone=alone)):
        raise ValueError("the engraving library refused the score")
    return [toolkit.renderToSVG(number) for number in range(1, toolkit.getPageCount() + 1)]


def as_html(title: str, pages: list[str]) -> str:
    """All pages in one document that prints a page on a sheet."""
    from html import escape

    return HTML.format(title=escape(title), pages="\n".join(pages))


def engravable(score: Score, own: int | None, *, alone: int | None = None) -> str:
    """MusicXML with our bar numbers, voices by their names, and the own part told from the others."""
    root = written(score)
    names = score.voice_names()
    parts = list(root.findall("part"))
    for line, (listed, part) in enumerate(zip(root.findall("part-list/score-part"), parts, strict=True)):
        if alone is not None and line != alone:
            root.find("part-list").remove(listed)  # type: ignore[union-attr]
            root.remove(part)
            continue
        name = listed.find("part-name")
        if name is not None:
            name.text = names[line].upper() if line == own else names[line]
        _number(part, score)
        _tempo_in_words(part)
        if own not in (None, line):
            _smaller(part)
    return tostring(root, encoding="unicode")


def _number(part: Element, score: Score) -> None:
    for measure, bar in zip(part.findall("measure"), score.bars().bars, strict=True):
        other = bar.printed and bar.printed != str(bar.number)
        measure.set("number", f"{bar.number} ({bar.printed})" if other else str(bar.number))


def _tempo_in_words(part: Element) -> None:
    """A metronome's note is a letter of a music font, which not every viewer has."""
    for kind in part.iter("direction-type"):
        metronome = kind.find("metronome")
        if metronome is not None:
            kind.remove(metronome)
            SubElement(kind, "words").text = f"{metronome.findtext('per-minute')} quarters a minute"


def _smaller(part: Element) -> None:
    attributes = part.find("measure/attributes")
    if attributes is not None:
        SubElement(SubElement(attributes, "staff-details"), "staff-size").text = str(OTHERS_SIZE_PERCENT)
