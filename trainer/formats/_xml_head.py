"""What MusicXML says of a score before its first measure: title, part names, and the facts that we once wrote there."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

FACT_PREFIX = "heldline "
"""In front of the name of every fact that we write into a file's miscellaneous fields."""


def title_of(root: Element) -> str:
    """The title, "" for none."""
    for place in ("work/work-title", "movement-title"):
        title = " ".join((root.findtext(place) or "").split())
        if title:
            return title
    return ""


def part_names(root: Element) -> dict[str, str]:
    """The name of each part by its id."""
    return {
        part.get("id", ""): " ".join((part.findtext("part-name") or "").split()) for part in root.iter("score-part")
    }


def facts_of(root: Element) -> tuple[tuple[str, str], ...]:
    """What we once wrote about the exercise."""
    return tuple(
        (field.get("name", "").removeprefix(FACT_PREFIX), (field.text or "").strip())
        for field in root.iterfind("identification/miscellaneous/miscellaneous-field")
        if field.get("name", "").startswith(FACT_PREFIX)
    )
