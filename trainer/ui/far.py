"""The view from across the room: bar, beat and what comes next in block letters, all else small. Pure, from a state to lines.

Six words at most are large. Letters of five rows on a screen of 80 by 24 are about a fifth of the screen's height.
"""

from __future__ import annotations

import textwrap
from fractions import Fraction

from trainer.live.standing import Standing
from trainer.live.state import State
from trainer.reports.look import Look
from trainer.ui.block_letters import ASCII, FULL, ROWS, set_large
from trainer.ui.help_page import help_page
from trainer.ui.section_keys import ALL_KEYS, KEYS
from trainer.ui.views import count


def far_view(state: State, look: Look, height: int, typed: str = "") -> list[str]:
    """Lines of a screen of ``look.width`` by *height* for a rehearsal; the last one the keys."""
    standing = state.standing
    assert standing is not None  # noqa: S101 - the caller has looked
    head = [look.paint(_head(state)[: look.width], "head")]
    if state.help:
        keys, pages = help_page(ALL_KEYS, look.width, height - 3, state.page)
        return _filled([*head, "", *keys], height, "? back" if pages == 1 else "v more   ? back")
    foot = _foot(state, standing, look, typed)
    dot = FULL if look.letters == "all" else ASCII
    words = large_words(state, standing)
    least, room = len(words) * (ROWS + 1) - 1, height - 3
    large = set_large(words, look.width, max(min(room, least), room - len(foot) - 1), dot=dot)
    body = [*head, "", *large] if room >= least else large
    left = height - len(body) - 2
    return _filled([*body, "", *foot[: max(0, left)]], height, _fitting(_keys(state), look.width))


def large_words(state: State, standing: Standing) -> tuple[str, ...]:
    """What is large: while somebody sings the bar, the beat and who; else what the rehearsal says."""
    place = None if state.quarters is None else state.score.bars().place(max(state.quarters, Fraction(0)))
    match state.phase:
        case "tuning note":
            return (f"bar {_called(0, standing)}", "listen")
        case "count-in":
            return (
                f"bar {_called(0, standing)}",
                f"count {count(state)[-2:].strip()}".strip(),
                standing.who,
            )
        case "singing" if place is not None:
            bar = place.bar - state.score.bars().bars[0].number
            return (f"bar {_called(bar, standing)}", f"beat {int(place.beat)}", standing.who)
        case "pause":
            return ("pause", "space")
    return standing.large


def way_words(state: State) -> str:
    """What sounds, in a few words."""
    names, desk = state.score.voice_names(), state.desk
    own = names[desk.own]
    others = [name for line, name in enumerate(names) if line != desk.own and line not in desk.muted]
    if not others:
        told = f"only the {own}" if desk.guide == "full" else "nothing sounds"
    elif desk.guide == "full":
        told = "everybody" if len(others) == len(names) - 1 else f"the {own} and the {', '.join(others)}"
    else:
        told = f"without the {own}" if len(others) == len(names) - 1 else f"only the {', '.join(others)}"
    more = [f"{names[desk.louder]} louder"] if desk.louder is not None else []
    more += ["drone"] if desk.drone == "on" else []
    return ", ".join([told, *more])


def _fitting(keys: str, width: int) -> str:
    """As many keys as fit whole."""
    told = keys.split("   ")
    while len("   ".join(told)) > width and len(told) > 1:
        told.pop()
    return "   ".join(told)[:width]


def _called(index: int, standing: Standing) -> str:
    return standing.called[min(index, len(standing.called) - 1)] if standing.called else standing.bars


def _head(state: State) -> str:
    qpm = state.tempo_qpm
    tempo = str(qpm.numerator) if qpm.denominator == 1 else f"{float(qpm):.3g}"
    return f"{state.score.title}: {way_words(state)}, {tempo} quarters a minute"


def _foot(state: State, standing: Standing, look: Look, typed: str) -> list[str]:
    if state.asked:
        return [(state.asked + typed + "_")[-look.width :]]
    said = [state.warning or state.notice]
    if state.phase in ("ready", "done"):
        said += standing.small
    return [line for one in said if one for line in textwrap.wrap(one, look.width)]


def _keys(state: State) -> str:
    return KEYS["waiting" if state.phase in ("ready", "done") else "sounding"]


def _filled(lines: list[str], height: int, keys: str) -> list[str]:
    kept = lines[: height - 1]
    return [*kept, *[""] * (height - 1 - len(kept)), keys]
