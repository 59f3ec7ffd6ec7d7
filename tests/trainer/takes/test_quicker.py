"""When the compiled steps are asked for: behind a session that listens, and once a recording was long enough."""

from __future__ import annotations

import argparse
from types import SimpleNamespace

import numpy as np
import pytest

from audio import compiled
from audio.block import Block
from trainer.cli import _live
from trainer.live import session
from trainer.places import HOME_VARIABLE
from trainer.takes.quicker import FIRST_SOUND_SECONDS, LOAD_AFTER_SECONDS, MAKE_AFTER_SECONDS, as_heard


@pytest.fixture
def asked(monkeypatch, tmp_path):
    """What was asked for, and for which folder."""
    found = []
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path))
    for name in ("load_behind", "make_behind"):
        monkeypatch.setattr(compiled, name, lambda *told, name=name: found.append((name, *told)))
    return found


def test_a_recording_is_heard_as_it_is_and_a_long_one_asks_once_for_each(asked, tmp_path):
    blocks = [Block(np.zeros((100, 1), np.float32), ("mic1",), 100 * n, 100) for n in range(MAKE_AFTER_SECONDS + 60)]
    after = []
    for block, given in zip(as_heard(blocks), blocks, strict=True):
        assert block is given
        after.append(len(asked))
    assert asked == [("load_behind", tmp_path / "compiled"), ("make_behind", tmp_path / "compiled")]
    assert after.index(1) == LOAD_AFTER_SECONDS
    assert after.index(2) == MAKE_AFTER_SECONDS


@pytest.mark.parametrize(("source", "times"), [("sung", 1), ("keyed", 0)])
def test_a_session_asks_for_them_only_where_somebody_sings(source, times, asked, monkeypatch, tmp_path):
    monkeypatch.setattr(session, "Session", lambda *args, **more: None)
    begun = _live.session_of(None, None, None, None, SimpleNamespace(source=source))
    assert asked == []
    begun(argparse.Namespace())
    assert asked == [("make_behind", tmp_path / "compiled", FIRST_SOUND_SECONDS)] * times
