"""Whatever is written can be weighed, foretold and helped, and what is told lies inside it."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from strategies import scores

from trainer.reports.look import Look
from trainer.reports.singable import Looked, Sheet, singable_as_text, singable_to_json
from trainer.rules.piece import FREE, Piece
from trainer.rules.ruleset import shipped
from trainer.score.model import Line, Score
from trainer.singable.danger import spots_of
from trainer.singable.part import Part
from trainer.singable.suggest import change_for, move_for, voice_for
from trainer.singable.weigh import weigh_part


@settings(max_examples=25, deadline=None)
@given(score=scores(most_lines=5))
def test_any_score_is_weighed_and_its_remarks_lie_inside_it(score: Score) -> None:
    piece, bars = Piece(score, FREE), {bar.number for bar in score.bars().bars}
    looked = []
    for index, line in enumerate(score.lines):
        part = Part(piece, index)
        weighed = weigh_part(part)
        assert [note.name for note in weighed.notes] == [str(note.pitch) for note in line.notes]
        assert {note.place.bar for note in weighed.notes} <= bars
        assert [spot.onset_quarters for spot in spots_of(part)] == [note.onset_quarters for note in line.notes]
        looked.append(Looked(weighed, {}, spots_of(part), move_for(part), voice_for(part)))
    sheet = Sheet(score.title, len(score.lines), Fraction(60), tuple(looked))
    assert len(singable_to_json(sheet)["voices"]) == len(score.lines)
    assert max(map(len, singable_as_text(sheet, Look(width=60)).splitlines()[1:])) <= 80


@settings(max_examples=6, deadline=None)
@given(score=scores(most_lines=3))
def test_a_change_offered_for_any_score_is_one_note_of_it(score: Score) -> None:
    part = Part(Piece(score, FREE), 0)
    weighed = weigh_part(part)
    for note in weighed.worst(1):
        change = change_for(part, weighed, note, shipped("tonal"), None)
        assert change is None or (
            change.before == weighed.notes[change.index].name != change.after and change.gain >= 1
        )


def test_a_line_without_notes_is_told_so() -> None:
    score = Score("Silent", (Line("soprano", ()), Line("bass", ())))
    weighed = [weigh_part(Part(Piece(score, FREE), line)) for line in (0, 1)]
    assert [(one.lowest, one.mean_points, one.worst()) for one in weighed] == [("", 0, ())] * 2
    text = singable_as_text(Sheet("Silent", 2, Fraction(60), tuple(Looked(one) for one in weighed)), Look())
    assert "soprano: has no note" in text
