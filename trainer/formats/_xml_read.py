"""A MusicXML file as a score."""

from __future__ import annotations

from pathlib import PurePath
from typing import TYPE_CHECKING

from trainer.errors import ScoreError
from trainer.formats._xml_lines import lines_of
from trainer.formats._xml_measures import Document, document_of
from trainer.formats._xml_open import root_element
from trainer.formats._xml_order import sung_order
from trainer.formats._xml_time import timeline_of
from trainer.score.model import Origin, Score
from trainer.score.time import lay_out_bars

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

FACT_PREFIX = "heldline "
"""In front of the name of every fact that we write into a file's miscellaneous fields."""


def read(content: bytes, path: str) -> Score:
    """The score in a plain or packed MusicXML file. Raises ScoreError only."""
    root = root_element(content, path)
    if root.tag not in ("score-partwise", "score-timewise"):
        raise ScoreError(
            f"the file is XML but not a MusicXML score (its root is {str(root.tag)[:40]!r})",
            path,
            "export it as MusicXML from the program that made it",
        )
    document = document_of(root, path)
    order = sung_order(document.measures, path)
    if not order:
        raise ScoreError("the MusicXML file has no measure to sing", path, "export it again with its notes")
    time = timeline_of(document.measures, order, path)
    end = time.onsets[-1] + document.measures[order[-1][0]].filled
    bars = lay_out_bars(time.meters, end_quarters=end, pickup_quarters=time.pickup_quarters, printed=time.printed)
    lines = lines_of(document, order, time.onsets, bars=bars, path=path)
    if not lines:
        raise ScoreError("the MusicXML file has no notes", path, "export it again with at least one voice")
    return Score(
        _title(root) or PurePath(path).stem,
        lines,
        meters=time.meters,
        keys=time.keys,
        tempo=time.tempo,
        pickup_quarters=time.pickup_quarters,
        printed_bars=time.printed,
        facts=_facts(root, document),
        origin=Origin(path),
    )


def _title(root: Element) -> str:
    for place in ("work/work-title", "movement-title"):
        title = " ".join((root.findtext(place) or "").split())
        if title:
            return title
    return ""


def _facts(root: Element, document: Document) -> tuple[tuple[str, str], ...]:
    """What we once wrote about the exercise, and what had to be left out now."""
    facts = [
        (field.get("name", "").removeprefix(FACT_PREFIX), (field.text or "").strip())
        for field in root.iterfind("identification/miscellaneous/miscellaneous-field")
        if field.get("name", "").startswith(FACT_PREFIX)
    ]
    left_out = [
        f"{count} {kind} left out"
        for count, kind in ((document.grace_notes, "grace notes"), (document.cue_notes, "cue notes"))
        if count
    ]
    return tuple(facts) + ((("remark", "; ".join(left_out)),) if left_out else ())
