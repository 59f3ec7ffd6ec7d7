"""A document of any notation as a score: its measures in sung order, its voices told apart, its remarks gathered."""

from __future__ import annotations

from pathlib import PurePath

from trainer.errors import ScoreError
from trainer.formats import refuse_many_bars
from trainer.formats._lines import lines_of
from trainer.formats._order import sung_order
from trainer.formats._timeline import timeline_of
from trainer.formats._written import Document, in_quarters
from trainer.score.model import MARKS, Origin, Score
from trainer.score.time import lay_out_bars


def score_of(document: Document, path: str) -> Score:
    """The score that *document* writes down. Raises ScoreError."""
    order = sung_order(document.measures, path) if document.order is None else list(document.order)
    if not order:
        raise ScoreError("the file has no measure to sing", path, "export it again with its notes")
    time = timeline_of(document.measures, order, path)
    end = time.onsets[-1] + in_quarters(document.measures[order[-1][0]].filled)
    bars = lay_out_bars(time.meters, end_quarters=end, pickup_quarters=time.pickup_quarters, printed=time.printed)
    lines = lines_of(document, order, time.onsets, bars=bars, path=path)
    if not lines:
        raise ScoreError("the file has no notes", path, "export it again with at least one voice")
    said_before = [value for name, value in document.facts if name == "remark"]
    remarks = list(dict.fromkeys([*said_before, *document.remarks, *time.left_out]))
    if time.guessed:
        remarks.append(f"the file gives no meter; its measures are counted in {time.guessed}")
    others = tuple(fact for fact in document.facts if fact[0] != "remark")
    marks = _marks(document, order, 0 if time.pickup_quarters else 1)
    if marks and MARKS not in dict(others):
        others = (*others, (MARKS, marks))
    score = Score(
        document.title or PurePath(path).stem,
        lines,
        meters=time.meters,
        keys=time.keys,
        tempo=time.tempo,
        pickup_quarters=time.pickup_quarters,
        printed_bars=time.printed,
        facts=(*others, ("remark", "; ".join(remarks))) if remarks else others,
        origin=Origin(path),
    )
    refuse_many_bars(len(score.bars().bars), path)
    return score


def _marks(document: Document, order: list[tuple[int, int]], first_bar: int) -> str:
    """Every rehearsal mark with the bar in which it is first sung, as in ``A 5, B 9``."""
    found: dict[str, int] = {}
    for bar, (index, _) in enumerate(order, start=first_bar):
        mark = document.measures[index].mark
        if mark:
            found.setdefault(mark, bar)
    return ", ".join(f"{mark} {bar}" for mark, bar in found.items())
