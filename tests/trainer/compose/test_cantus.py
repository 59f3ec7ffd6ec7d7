"""Cantus firmi of ours are sound melodies; Fux's six are his; every one finds a place in its voice."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise

import pytest
from fux import figures

from trainer.compose import Wish, WishError
from trainer.compose.cantus import fresh, named
from trainer.compose.given import given
from trainer.compose.setting import settings
from trainer.compose.wish import MODES, compass
from trainer.rules.piece import Piece
from trainer.rules.ruleset import shipped
from trainer.score.pitch import Pitch

STRICT = shipped("strict16")


@pytest.mark.parametrize("mode", MODES)
def test_a_new_cantus_is_a_sound_melody(mode: str) -> None:
    for length in (8, 11, 14):
        cantus = fresh(mode, length, STRICT, random.Random(length))
        heights = [pitch.diatonic for pitch in cantus.pitches]
        moves = [after - before for before, after in pairwise(heights)]
        assert len(cantus.pitches) == length
        assert heights[0] == heights[-1]
        assert moves[-1] == -1  # it comes to its final from above
        assert 0 not in moves
        assert heights.count(max(heights)) == 1
        assert max(heights) - min(heights) <= 9  # a tenth
        words = tuple(str(pitch) for pitch in cantus.pitches)
        assert given(Wish(mode=mode, melody=words), STRICT).pitches == cantus.pitches


def test_new_cantus_firmi_go_by_step_as_much_as_fuxs() -> None:
    """Fux's six have 38 steps among 65 moves (counted below), ours as many of a hundred or more."""

    def share(lines: list[tuple[Pitch, ...]]) -> Fraction:
        moves = [abs(b.diatonic - a.diatonic) for line in lines for a, b in pairwise(line)]
        return Fraction(sum(move == 1 for move in moves), len(moves))

    ours = [fresh(mode, 8 + seed % 5, STRICT, random.Random(seed)).pitches for mode in MODES[:6] for seed in range(5)]
    assert share(ours) >= share([cantus.pitches for cantus in named().values()])


def test_a_seed_gives_its_cantus_and_another_seed_another() -> None:
    one, again, other = (fresh("dorian", 11, STRICT, random.Random(seed)) for seed in (1, 1, 2))
    assert one == again != other


def test_fux_is_named_with_his_own_notes() -> None:
    """Each of the six is a line of a figure in the CC0 transcription, an octave apart at most."""
    lines = set()
    for score in figures().values():
        piece = Piece(score)
        if piece.cantus is not None:
            line = piece.texture.lines[piece.cantus]
            lines.add(tuple(after.dia - before.dia for before, after in pairwise(line)))
    steps = {
        name: tuple(b.diatonic - a.diatonic for a, b in pairwise(cantus.pitches)) for name, cantus in named().items()
    }
    assert sorted(steps) == ["fux-a", "fux-c", "fux-d", "fux-e", "fux-f", "fux-g"]
    assert [name for name, moves in steps.items() if moves not in lines] == []


@pytest.mark.parametrize("voice", ["soprano", "alto", "tenor", "bass"])
def test_a_cantus_is_put_where_its_voice_can_sing_it(voice: str) -> None:
    wish = Wish(cantus_voice=voice, line_voice="bass" if voice != "bass" else "alto")
    low, high = compass(wish, voice)
    for place in settings(wish, named()["fux-d"]):
        heights = [pitch.midi for pitch in place.pitches]
        assert low <= min(heights)
        assert max(heights) <= high


def test_a_cantus_wider_than_its_voice_is_refused_in_words() -> None:
    wish = Wish(cantus_voice="bass", line_voice="alto", compasses=(("bass", "D3", "B3"),))
    with pytest.raises(WishError) as told:
        settings(wish, named()["fux-g"])
    assert "the cantus spans 12 semitones, the bass's compass 9" in str(told.value)
