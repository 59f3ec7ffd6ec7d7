"""What a take needs before it begins: the bars chosen, the settings it is judged by, and a player of the voices."""

from __future__ import annotations

from dataclasses import replace

from trainer.live.choices import Choices
from trainer.live.player import Player
from trainer.live.stems import Stems
from trainer.live.wish import Wish
from trainer.practice.settings import Settings
from trainer.score.change import cut
from trainer.score.model import Score


def prepared(wish: Wish, choices: Choices, rate_hz: int) -> tuple[Score, Settings, Player]:
    """Score, settings and player for the bars, tempo and octave chosen now."""
    score = wish.score if choices.bars is None else cut(wish.score, *choices.bars)
    settings = replace(wish.settings, tempo_qpm=choices.qpm)
    stems = Stems(score, wish.line_index, settings, choices.octaves, rate_hz, choices.silent_bars_inside())
    return score, settings, Player(stems, choices.desk)
