"""What C libraries print stays off the terminal, and what we print does not."""

from __future__ import annotations

import os

import pytest

from audio.quiet import quiet_stderr


def test_words_on_descriptor_two_are_lost_inside_and_heard_after(capfd: pytest.CaptureFixture[str]) -> None:
    os.write(2, b"before\n")
    with quiet_stderr():
        os.write(2, b"chatter\n")
    os.write(2, b"after\n")
    assert capfd.readouterr().err == "before\nafter\n"


def test_an_error_inside_gives_the_descriptor_back(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(RuntimeError, match="inside"), quiet_stderr():
        raise RuntimeError("inside")
    os.write(2, b"after\n")
    assert capfd.readouterr().err == "after\n"
