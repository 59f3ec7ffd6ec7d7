"""The report of a take for people: three lines first, the beats as a table, the rest under headings, and by what it was measured.

Fits 80 columns by 24 lines for an exercise of eleven bars; works down to 60 columns.
"""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Callable, Sequence

from audio.heard import UNTIMED
from trainer.judge.together import side_by_side
from trainer.practice.signs import Sign
from trainer.practice.take import ClashVerdict, NoteVerdict, Performance, Take
from trainer.reports import plain
from trainer.reports.findings import getting_back, three_lines
from trainer.reports.look import Look
from trainer.reports.table import beat_table, legend
from trainer.reports.tempo import tempo_words
from trainer.reports.wording import (
    AS_WRITTEN,
    bar_words,
    bars_words,
    cents_words,
    count_words,
    ms_words,
    place_words,
    second_words,
    time_words,
)

FEW = 2  # notes out of tune that are told one by one
MOST_EXTRA = 3  # sounds beside the line that are told one by one
HEADING = 10  # columns of a heading; the longest is "Measured"


def performance_text(performance: Performance, look: Look, advice: Sequence[str] = ()) -> str:
    """Every take of a performance, one after another; of several sung ones first how they went together.

    *advice* is, a take, what to do next where the music knows it better than the take does; "" where it does not.
    """
    advice = advice or [""] * len(performance.takes)
    texts = [take_text(take, look, told) for take, told in zip(performance.takes, advice, strict=True)]
    if side_by_side(performance):
        from trainer.reports.together import together_text

        texts.insert(0, together_text(performance, look))
    return "\n\n".join(texts)


def take_text(take: Take, look: Look, advice: str = "") -> str:
    """One take, ready to print; *advice* stands for its own next thing to do."""
    lines = [look.paint(line, "head") for line in textwrap.wrap(title(take), look.width) or [""]]
    lines += first_lines(take, look, advice)
    if take.status == "nothing heard":
        lines += _headed("Besides", _besides(take), look) if _besides(take) else []
        lines += _headed("Measured", measured(take), look)
        return "\n".join(lines)
    if look.form == "plain":
        lines += plain.bar_lines(take)
    else:
        lines += ["", *beat_table(take, look), "", *legend(take, look), ""]
    for heading, told in headings(take):
        lines += _headed(heading, told, look)
    lines += _headed("Measured", measured(take), look)
    return "\n".join(lines)


def title(take: Take) -> str:
    """Which music, which voice, and how it was made."""
    return f"{take.title}: {take.voice}, {take.source}{', incomplete' if take.status == 'incomplete' else ''}"


def first_lines(take: Take, look: Look, advice: str = "") -> list[str]:
    """Best, worst place, next."""
    three = three_lines(take)
    lines: list[str] = []
    for heading, told in (("Best", three.best), ("Worst", three.worst), ("Next", advice or three.next)):
        lines += _headed(heading, told, look)
    return lines


def headings(take: Take) -> list[tuple[str, str]]:
    """Heading and words of everything that the take has to say, empty ones left out."""
    found = [
        ("Held", _held(take)),
        ("Pulled", _pulled(take)),
        ("Off", _off(take)),
        ("Tuning", _tuning(take)),
        ("Entries", _entries(take)),
        ("Tempo", tempo_words(take)),
        ("Unheard", _unheard(take)),
        ("Clashes", "; ".join(_clash(clash) for clash in take.clashes)),
        ("Back", "; ".join(getting_back(take))),
        ("Besides", _besides(take)),
    ]
    return [(heading, told) for heading, told in found if told]


def measured(take: Take) -> str:
    """The reference and every tolerance."""
    settings = take.settings
    fixed = settings.time == "fixed"
    written = f"{float(take.tempo_qpm):g} quarters a minute from {float(settings.starts_at_s):.4g} s"
    tempo = written if fixed else "in the singer's own time"
    octave = {"strict": "octave as written", "steady": "steady octave", "free": "any octave"}[settings.octave]
    if take.source == "keyed":
        return f"note and time, no cents: keys cannot be out of tune; on time within {take.on_time_ms} ms; {octave}; {tempo}"
    against = {"equal": "equal tuning", "pure": "pure tuning above the lowest voice"}[settings.against]
    against += f", sinking by {settings.sinking_cents} cents a minute" if settings.sinking_cents else ""
    company = "; alone: offset and drift taken off first" if settings.alone else ""
    timing = f"on time within {take.on_time_ms} ms" if settings.delay_known else "timing not judged: delay unknown"
    timing = timing if fixed else "no late or early: the tempo is the singer's"
    return (
        f"{against}, A4 = {settings.a4_hz:g} Hz; held within {settings.tolerance_cents} cents, off beyond 70; "
        f"{timing}; {octave}; {tempo}{company}"
    )


def _headed(heading: str, told: str, look: Look) -> list[str]:
    """The words beside their heading, wrapped; in the plain form one line, label first."""
    if look.form == "plain":
        return [f"{heading}: {told}"]
    body = textwrap.wrap(told, look.width - HEADING, break_on_hyphens=False) or [""]
    return [look.paint(heading, "head") + " " * (HEADING - len(heading)) + body[0]] + [
        " " * HEADING + line for line in body[1:]
    ]


def _held(take: Take) -> str:
    counts = take.result()
    told = f"{counts['held']} of {count_words(counts['judged'], 'note')} judged"
    left_out = counts["notes"] - counts["judged"]
    return told + (
        f"; {left_out} could not be told and {'is' if left_out == 1 else 'are'} left out" if left_out else ""
    )


def _of(take: Take, *signs: Sign) -> list[NoteVerdict]:
    return [note for note in take.notes if note.sign in signs]


def _pulled(take: Take) -> str:
    told = []
    for voice in dict.fromkeys(note.pulled_to or "another voice" for note in _of(take, Sign.PULLED)):
        mine = [note for note in _of(take, Sign.PULLED) if (note.pulled_to or "another voice") == voice]
        told.append(f"to {voice} in {_each(take, mine, lambda note: f'{note.sung} for {note.expected}')}")
    return "; ".join(told)


def _off(take: Take) -> str:
    def heard(note: NoteVerdict) -> str:
        if note.expected is None:
            return f"{note.sung or 'a note'} in a rest"
        return f"{note.sung or 'between two notes'} for {note.expected}"

    told = [_each(take, _of(take, Sign.OFF), heard)]
    octave = _each(take, _of(take, Sign.OCTAVE), _displaced)
    told.append(f"in another octave: {octave}" if octave else "")
    return "; ".join(part for part in told if part)


def _displaced(note: NoteVerdict) -> str:
    if note.sung == note.expected:
        return f"{note.sung} {AS_WRITTEN}"
    return f"{note.sung or 'another octave'} for {note.expected}"


def _tuning(take: Take) -> str:
    out = "; ".join(part for part in (_one_side(take, Sign.SHARP), _one_side(take, Sign.FLAT)) if part)
    scoops = [note for note in take.notes if note.scoop_cents]
    slid = _each(take, scoops, lambda note: f"from {abs(note.scoop_cents or 0)} cents {_side(note.scoop_cents or 0)}")
    return "; ".join(part for part in (out, f"slid into {slid}" if slid else "") if part)


def _one_side(take: Take, sign: Sign) -> str:
    """Notes out of tune to one side, one by one while they are few."""
    notes = _of(take, sign)
    sizes = [abs(note.cents) for note in notes if note.cents is not None]
    if len(notes) <= FEW or not sizes:
        return _each(take, notes, lambda note: cents_words(note.cents) if note.cents else sign.value)
    return f"{sign} by {min(sizes)} to {max(sizes)} cents in {bars_words(notes)}"


def _side(cents: int) -> str:
    return "above" if cents > 0 else "below"


def _entries(take: Take) -> str:
    def beside(note: NoteVerdict) -> str:
        return ms_words(note.onset_error_ms) if note.onset_error_ms is not None else "off the beat"

    def cut(note: NoteVerdict) -> str:
        return time_words(note.release_error_ms) if note.release_error_ms is not None else "cut"

    any_of = [note for note in take.notes if {Sign.LATE, Sign.EARLY} & set(note.signs)]
    left = [note for note in take.notes if Sign.LEFT_EARLY in note.signs]
    breaths = [note for note in take.notes if Sign.BREATH in note.signs]
    told = [_each(take, any_of, beside)]
    told.append(f"left early in {_each(take, left, cut)}" if left else "")
    told.append(f"breath in {bars_words(breaths)}" if breaths else "")
    return "; ".join(part for part in told if part)


def _unheard(take: Take) -> str:
    silent, unsure = _of(take, Sign.SILENT), _of(take, Sign.UNSURE)
    told = [f"nothing heard in {bars_words(silent)}" if silent else ""]
    told.append(f"unsure in {bars_words(unsure)}" if unsure else "")
    return "; ".join(part for part in told if part)


def _clash(clash: ClashVerdict) -> str:
    def event(sign: Sign) -> str:
        return {Sign.HELD: "yes", Sign.BREATH: "yes", Sign.UNSURE: "unsure"}.get(sign, f"no ({sign.value})")

    return (
        f"{place_words(clash)}, {clash.figure}: prepared {event(clash.prepared)}, "
        f"held {event(clash.held)}, resolved {event(clash.resolved)}"
    )


def _besides(take: Take) -> str:
    told = [remark.rstrip(".") for remark in take.remarks]
    told += _extra(take)
    doubted = [start for start, _, why in take.health.gaps if why == UNTIMED]
    if doubted:
        told.append(
            f"from {second_words(doubted[0])} s on timing not judged: the sound stumbled and its delay is no longer sure"
        )
    told += [
        f"{second_words(start)} to {second_words(end)} s not judged: {why}"
        for start, end, why in take.health.gaps
        if why != UNTIMED
    ]
    sentences = (f"{part[:1].upper()}{part[1:]}" for part in told)
    return " ".join(said if said.endswith("?") else f"{said}." for said in sentences).rstrip(".")


def _extra(take: Take) -> list[str]:
    """What was sung beside the line, in one sentence: the first few, and how many more."""
    found = [
        f"{extra.sung} from {second_words(extra.start_s)} to {second_words(extra.end_s)} s" for extra in take.extra
    ]
    more = f" and {len(found) - MOST_EXTRA} more" if len(found) > MOST_EXTRA else ""
    if not found:
        return []
    # a German note's first letter must stay small: H is not h
    return [f"no note asked for {', '.join(found[:MOST_EXTRA])}{more}"]


def _each(take: Take, notes: Sequence[NoteVerdict], says: Callable[[NoteVerdict], str]) -> str:
    """Each note's place and what is said of it; the beat is left out where the bar begins with its only note."""
    count = Counter(note.bar for note in take.notes)

    def place(note: NoteVerdict) -> str:
        return bar_words(note) if note.beat == 1 and count[note.bar] == 1 else place_words(note)

    return ", ".join(f"{place(note)} ({says(note)})" for note in notes)
