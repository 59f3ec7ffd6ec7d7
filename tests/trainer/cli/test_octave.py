"""The singer's own octave from one evening to the next."""

from __future__ import annotations

import argparse
from dataclasses import replace

import pytest
from live_rig import SETTINGS, TENOR, short_score

from trainer.cli._octave import as_last_sung, remember
from trainer.live.desk import Desk
from trainer.live.wish import Came, Wish
from trainer.practice.take import Performance

WISH = Wish(short_score(), TENOR, SETTINGS, Desk(TENOR))


def args(**more: object) -> argparse.Namespace:
    return argparse.Namespace(**{"own_octave": None, "log": None, "no_log": False, **more})


def test_the_first_note_is_given_where_the_part_was_sung_last_and_that_is_said() -> None:
    remember(args(), WISH, Came(performances=[Performance(())], octaves=1))
    wish = as_last_sung(args(), WISH)
    assert wish.octaves == 1
    assert wish.notice == (
        "Your first note is given an octave higher than written, as you sang tenor last; --own-octave 0 gives it as written."
    )


def test_another_part_is_given_as_written() -> None:
    remember(args(), WISH, Came(performances=[Performance(())], octaves=1))
    alto = replace(WISH, line_index=1)
    assert as_last_sung(args(), alto) == alto


def test_an_octave_asked_for_is_the_one_that_is_given() -> None:
    remember(args(), WISH, Came(performances=[Performance(())], octaves=1))
    assert as_last_sung(args(own_octave=0), WISH) == WISH


def test_a_session_without_a_take_teaches_nothing() -> None:
    remember(args(), WISH, Came(octaves=1))
    assert as_last_sung(args(), WISH) == WISH


def test_who_keeps_no_takes_keeps_no_octave_either(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HELDLINE_LOG", "no")
    remember(args(), WISH, Came(performances=[Performance(())], octaves=1))
    monkeypatch.delenv("HELDLINE_LOG")
    assert as_last_sung(args(), WISH) == WISH
