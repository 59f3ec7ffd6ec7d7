"""Turns as they are asked for, and offered where soundcheck heard our own voices and did not learn them."""

from __future__ import annotations

from dataclasses import replace

from live_rig import SETTINGS, TENOR, short_score

from trainer.cli._turns import SOUNDS_BACK, advised, in_turns, to_show
from trainer.live.desk import Desk
from trainer.live.wish import Came, Wish
from trainer.log.devices import LearntRoom, MeasuredPair, Pair
from trainer.practice.take import Performance

WISH = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR), notice="Before.")
PAIR = Pair("microphone", "loudspeaker", 48_000, 256)
HEARD = MeasuredPair(PAIR, 20.0, 0.1, -12.0, "2026-11-26")


def test_turns_are_offered_where_our_voices_come_back_and_nothing_takes_them_away() -> None:
    assert advised(WISH, HEARD).notice == f"Before. {SOUNDS_BACK}"
    learnt = replace(HEARD, room=LearntRoom("", 0, 0.0, -30.0))
    for pair in (None, replace(HEARD, bleed_db=None), learnt):
        assert advised(WISH, pair) == WISH
    silent = replace(WISH, desk=replace(WISH.desk, sounding="silent"))
    assert advised(silent, HEARD) == silent
    turns = in_turns(WISH, 2)
    assert advised(turns, HEARD) == turns


def test_turns_are_judged_as_sung_alone_and_shown_one_after_another() -> None:
    turns = in_turns(WISH, 2)
    assert turns.settings.alone
    one, two = Performance(("first",)), Performance(("second",))  # type: ignore[arg-type]
    came = Came(performances=[one, two])
    assert to_show(turns, came).takes == ("first", "second")
    assert to_show(WISH, came) is two
