"""What the screen shows: pure functions from a state to lines. Nothing here knows a terminal.

Systems of bars as music has them, one sign a beat, the signs of the report. While somebody sings there is one sign a beat and one line
of words, and words only where a beat is long enough to read them; all the detail comes afterwards.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction

from trainer.live.state import State
from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import BeatVerdict
from trainer.reports.beat_signs import BEAT_SIGNS, letter
from trainer.reports.called import beat_called, take_called
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.reports.tuned import advice
from trainer.reports.why import why
from trainer.reports.wording import bar_words, place_words
from trainer.score.moved import moved_words
from trainer.score.naming import LETTERS, Names, counted_from, lettered
from trainer.score.pitch import spelled_midi
from trainer.ui import parts
from trainer.ui.help_page import help_page
from trainer.ui.lines import beat_says, first_note, waiting_words
from trainer.ui.reading import banner_words, flags, seen, steps
from trainer.ui.screen_keys import ALL_KEYS, keys_line, keys_now
from trainer.ui.systems import cells_of, rows_of, systems_of

SMALLEST = (40, 10)
ROOMY = 16
"""From so many rows on, what does not fit in one line of the head has a second."""

MORE = (("v", "more"),)
BEFORE = ("ready", "tuning note", "look-through", "listening")
"""Phases in which the line is read and not yet sung."""

WORDS_FROM_SECONDS = Fraction(3, 5)
"""A picture cannot be read and used within a shorter beat: the estimate, the display and the eye's reaction together take as long."""


def view(state: State, look: Look, height: int, names: Names, typed: str = "") -> list[str]:
    """Lines of a screen of ``look.width`` by *height*; no more lines than that, the last one the keys."""
    if look.width < SMALLEST[0] or height < SMALLEST[1]:
        return _tiny(state, look, height, names)
    head, foot, keys = _head(state, look, height), _foot(state, look, typed), keys_now(state)
    if state.help:
        head = head[:1]
        room = height - len(head) - len(foot)
        known = parts.ALL_KEYS if state.lines else [key for key, _ in ALL_KEYS]
        body, pages = help_page([told for told in ALL_KEYS if told[0] in known], look.width, room, state.page)
        keys = (*(MORE if pages > 1 else ()), ("?", "back"), *(one for one in keys if one[0] != "?"))
    else:
        room = height - len(head) - len(foot)
        body = _body(state, look, height - 3 - len(head), room, names)
        if len(body) > room and state.phase in ("done", *BEFORE):
            body, keys = _page(body, room, state.page), (*MORE, *keys)
    if not state.asked:
        foot[-1] = keys_line(keys, look.width)
    return [*head, *body[:room], *[""] * (room - len(body)), *foot][:height]


def _page(lines: list[str], room: int, page: int) -> list[str]:
    """That part of what does not fit at once, parted where an empty line stands; after the last comes the first again."""
    pages: list[list[str]] = []
    while lines:
        end = len(lines) if len(lines) <= room else next((k for k in range(room, 1, -1) if not lines[k]), room)
        pages.append(lines[:end])
        lines = lines[end:]
        while lines and not lines[0]:
            lines = lines[1:]
    return pages[page % len(pages)]


def phase_words(state: State) -> str:
    """Where the session stands, in a few words."""
    match state.phase:
        case "look-through":
            return f"look-through {state.seconds_left or 0}"
        case "count-in":
            return f"count-in {count(state)}".rstrip()
        case "singing" | "listening":
            place = None if state.quarters is None else state.score.bars().place(state.quarters)
            doing = "listening" if state.phase == "listening" else "singing" if state.source == "sung" else "playing"
            return (
                doing
                if place is None or (state.quarters or 0) < 0
                else f"{doing} {bar_words(place)} beat {int(place.beat)}"
            )
        case "waiting":
            return waiting_words(state)
        case _:
            return state.phase


def count(state: State) -> str:
    """The beats counted so far in the bar before the music, as in ``1 2 3``."""
    if state.quarters is None or state.quarters >= 0:
        return ""
    meter = state.score.meters[0][1]
    into = (state.quarters - state.score.pickup_quarters) % meter.bar_quarters
    if -state.quarters > 8 * meter.bar_quarters:
        return ""
    return " ".join(str(beat) for beat in range(1, int(into / meter.beat_quarters) + 2))


def _head(state: State, look: Look, height: int) -> list[str]:
    voice = parts.voices(state) if state.lines else state.score.voice_names()[state.line_index]
    said = banner_words(state.score)
    left = f"{state.score.title}: {voice}" + (f" ({said})" if said else "")
    right = phase_words(state)
    left = shortened(left, max(8, look.width - len(right) - 2))
    gap = " " * max(2, look.width - len(left) - len(right))
    desk = state.desk
    stands = [f"{_number(state.tempo_qpm)} quarters a minute", f"guide {desk.guide}", f"click {desk.click}"]
    if state.lines:
        del stands[1]  # a guide is for one singer
    if desk.muted - set(state.lines):
        told = sorted(desk.muted - set(state.lines))
        stands.append("mute " + ", ".join(state.score.voice_names()[line] for line in told))
    if desk.louder is not None:
        stands.append(f"next to {state.score.voice_names()[desk.louder]}")
    if desk.ear != "both":
        stands.append(f"{desk.ear} ear")
    if desk.sounding == "silent":
        stands = [stands[0], "silent"]
    return [
        look.paint(left, "head") + gap + right,
        *_side_by_side(stands, look.width)[: 2 if height >= ROOMY else 1],
        "",
    ]


def _side_by_side(words: Sequence[str], width: int) -> list[str]:
    """As many in a line as fit whole."""
    lines: list[str] = []
    for one in words:
        if lines and len(lines[-1]) + 2 + len(one) <= width:
            lines[-1] += f"  {one}"
        else:
            lines.append(shortened(one, width))
    return lines


def shortened(text: str, width: int) -> str:
    """The first whole words of *text* that fit, dots for the others; of a word that is too long, its beginning."""
    short = textwrap.shorten(text, width, placeholder="...")
    return short if short != "..." else text[:width]


def _body(state: State, look: Look, roomy: int, room: int, names: Names) -> list[str]:
    if state.lines:
        return parts.parts_body(state, look, roomy, names)
    if state.phase == "done" and state.performance is not None:
        return _done(state, look, names)
    lines = _tuning(state, look, names)
    if state.phase in BEFORE:
        return [*lines, *reading_view(state, look, room - len(lines), names)]
    return [*lines, *singing_view(state, look, roomy, names)]


def _tuning(state: State, look: Look, names: Names) -> list[str]:
    counted = counted_from(state.score, names)
    first = f"{first_note(state, names)}{f', and {counted}' if counted else ''}"
    told = {
        "ready": "",
        "tuning note": f"The key chord, then your own first note: {first_note(state, names)}",
        "listening": "Listen to these bars and read your line; then sing them while nothing sounds.",
        "look-through": f"Read your line; your first note is {first}. The count begins by itself.",
    }.get(state.phase)
    if told is None:
        return []
    moved = moved_words(state.score, names)
    lines = [*textwrap.wrap(told, look.width), *(textwrap.wrap(f"It sounds {moved}.", look.width) if moved else [])]
    return [*lines, ""]


def reading_view(state: State, look: Look, room: int, names: Names) -> list[str]:
    """The own line by bars, and under it as much of what to look out for as can be told whole."""
    found = steps(state.score, state.line_index, names, state.weights)
    lines = systems_of(
        cells_of(state, [(step.bar, seen(step)) for step in found], names), look, rows=rows_of(state, names.row)
    )
    told = [f"{state.score.bars().named(step.bar)}: {', '.join(flags(step))}" for step in found if flags(step)]
    delay = ["", *textwrap.wrap(f"Delay: {state.delay}", look.width)] if state.delay else []
    return [*lines, *_look_out(told, look.width, room - len(lines) - len(delay)), *delay]


def _look_out(told: Sequence[str], width: int, room: int) -> list[str]:
    """The first of *told* that fit, and how many more there are."""
    for count in range(len(told), 0, -1):
        more = [] if count == len(told) else [f"and {len(told) - count} more"]
        lines = ["", *textwrap.wrap("Look out: " + "; ".join([*told[:count], *more]), width)]
        if len(lines) <= room:
            return lines
    return []


def singing_view(state: State, look: Look, room: int, names: Names) -> list[str]:
    """The bars with a sign for every beat that is over, and one line of words on the beat before."""
    found = steps(state.score, state.line_index, names)
    cells = cells_of(state, [(step.bar, step.called) for step in found], names)
    signs: dict[int, list[str]] = {}
    for beat in state.beats:
        drawn = look.paint(letter(beat.sign, look.letters), BEAT_SIGNS[beat.sign].kind)
        signs.setdefault(beat.bar, []).append(drawn)
    for cell in cells:
        cell["beats"] = "".join(signs.get(int(cell["bar"]), []))
        cell["wide"] = str(max(int(cell["wide"]), len(signs.get(int(cell["bar"]), []))))
    now = state.score.bars().place(max(Fraction(0), state.quarters or Fraction(0))).bar
    lines = systems_of(cells, look, rows=rows_of(state, names.row, "beats"), around=now, room=room)
    under = [words_now(state, names)[: look.width]]
    if state.source == "keyed":
        under.append(f"keys  {keys_down(state, names)}".rstrip())
    return [*lines, "", *under, "", *_groups(state, look)]


def keys_down(state: State, names: Names) -> str:
    """Names of the keys that are down."""
    fifths = state.score.keys[0][1].fifths if state.score.keys else 0
    return " ".join(lettered(spelled_midi(midi, fifths=fifths), names) for midi in state.down)


def words_now(state: State, names: Names = LETTERS) -> str:
    """What the latest beat was, where beats are long enough to read it; nothing for a held one."""
    if not state.beats or state.phase == "count-in":
        return ""
    beat = state.beats[-1]
    meter = state.score.bars().at(state.score.bars().quarters(beat.bar, beat.beat)).meter
    if meter.beat_quarters * 60 / state.tempo_qpm < WORDS_FROM_SECONDS or beat.sign in (*COUNTED_AS_HELD, Sign.REST):
        return ""
    return f"{place_words(beat)}: {beat_says(beat_called(beat, names))}"


def _groups(state: State, look: Look) -> list[str]:
    """The signs seen so far with their words."""
    seen = dict.fromkeys(beat.sign for beat in sorted(state.beats, key=_rank))
    told = [f"{look.paint(letter(sign, look.letters), BEAT_SIGNS[sign].kind)} {sign.value}" for sign in seen]
    return ["   ".join(told)] if told else []


def _rank(beat: BeatVerdict) -> int:
    return list(Sign).index(beat.sign)


def _done(state: State, look: Look, names: Names) -> list[str]:
    assert state.performance is not None  # noqa: S101 - the caller has looked
    take = state.performance.takes[0]
    called = take_called(take, names)
    if state.why is not None:
        told = why(called, *state.why) or ""
        return [part for line in told.splitlines() for part in _hung(line, look.width)]
    return take_text(called, look, advice(state.score, take)).splitlines()[1:]


def _hung(line: str, width: int) -> list[str]:
    """A line of a label and its words, what does not fit under the words."""
    label = len(line) - len(line.partition(":")[2].lstrip()) if line.startswith(" ") else 2
    return textwrap.wrap(line, width, subsequent_indent=" " * min(label, width // 2)) or [""]


def _foot(state: State, look: Look, typed: str) -> list[str]:
    if state.asked:
        return ["", (state.asked + typed + "_")[-look.width :]]
    told = [told for told in (state.warning, state.notice) if told]
    told = told if state.phase == "done" else told[:1]
    lines = [line for notice in told for line in textwrap.wrap(notice, look.width)]
    return ["", *lines, ""]


def _tiny(state: State, look: Look, height: int, names: Names) -> list[str]:
    """A screen too small for systems: the phase, the last signs, words."""
    signs = "".join(letter(beat.sign, look.letters) for beat in state.beats)[-max(1, look.width) :]
    lines = [phase_words(state), signs, words_now(state, names)]
    if state.phase == "done" and state.performance is not None:
        counts = state.performance.takes[0].result()
        lines[1] = f"{counts['held']} of {counts['judged']} held"
    told = textwrap.wrap(state.warning or state.notice, max(1, look.width))
    if told and not lines[2]:
        lines.pop()
    lines = [line[: look.width] for line in (*lines, *told)][: height - 1]
    return [*lines, *[""] * (height - 1 - len(lines)), "q quit"[: look.width]][:height]


def _number(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.4g}"
