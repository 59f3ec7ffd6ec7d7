"""Colour, letters, width and form from the surroundings."""

from __future__ import annotations

import io

import pytest

from trainer.reports.look import look_of


class Stream(io.StringIO):
    """A stream that says what it is."""

    def __init__(self, *, terminal: bool, encoding: str = "utf-8") -> None:
        super().__init__()
        self._terminal, self._encoding = terminal, encoding

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self._encoding

    def isatty(self) -> bool:
        return self._terminal


SCREEN, PIPE = Stream(terminal=True), Stream(terminal=False)


@pytest.mark.parametrize(
    ("stream", "color", "environ", "coloured"),
    [
        (SCREEN, "auto", {}, True),
        (PIPE, "auto", {}, False),
        (SCREEN, "never", {}, False),
        (PIPE, "always", {}, True),
        (PIPE, "always", {"NO_COLOR": "1"}, True),  # an option outweighs the surroundings
        (SCREEN, "auto", {"NO_COLOR": "1"}, False),
        (SCREEN, "auto", {"NO_COLOR": ""}, True),  # set but empty is not set (no-color.org)
        (PIPE, "auto", {"FORCE_COLOR": "1"}, True),
        (PIPE, "auto", {"CLICOLOR_FORCE": "1"}, True),
        (PIPE, "auto", {"CLICOLOR_FORCE": "0"}, False),
        (SCREEN, "auto", {"NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
        (SCREEN, "auto", {"TERM": "dumb"}, False),
    ],
)
def test_colour_follows_option_then_surroundings_then_stream(
    stream: Stream, color: str, environ: dict[str, str], coloured: bool
) -> None:
    assert (look_of(stream, color=color, environ=environ).colours != "none") is coloured


def test_full_colour_is_used_only_where_the_terminal_says_it_has_it() -> None:
    assert look_of(SCREEN, environ={"COLORTERM": "truecolor"}).colours == "full"
    assert look_of(SCREEN, environ={"TERM": "xterm-256color"}).colours == "sixteen"


@pytest.mark.parametrize("environ", [{"ACCESSIBLE": "1"}, {"TERM": "dumb"}])
def test_a_screen_reader_gets_the_plain_form(environ: dict[str, str]) -> None:
    assert look_of(SCREEN, environ=environ).form == "plain"
    assert look_of(SCREEN, environ={"ACCESSIBLE": "0"}).form == "drawn"
    assert look_of(SCREEN, plain=True, environ={}).form == "plain"


@pytest.mark.parametrize(
    ("encoding", "letters"), [("utf-8", "all"), ("ascii", "ascii"), ("cp1252", "ascii"), ("x", "ascii")]
)
def test_letters_are_those_that_the_stream_can_carry(encoding: str, letters: str) -> None:
    assert look_of(Stream(terminal=True, encoding=encoding), environ={}).letters == letters


@pytest.mark.parametrize(("columns", "width"), [("60", 60), ("20", 40), ("500", 120), ("no", 80), ("", 80), ("0", 80)])
def test_width_is_the_terminals_within_what_can_be_read(columns: str, width: int) -> None:
    assert look_of(PIPE, environ={"COLUMNS": columns}).width == width
