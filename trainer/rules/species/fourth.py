"""Syncopation kept up: untied bars, share and variety of suspensions. Bridge c. 1878, chapter 9; a university's grading guide."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone


def _untied(piece: Piece, voice: int) -> list[Tone]:
    """What is struck on the accent of every bar between the first and the last."""
    inner = {bar.on for bar in piece.texture.bars[1:-1]}
    return [tone for tone in piece.texture.lines[voice] if tone.on in inner]


def _broken(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture, last = piece.texture, len(piece.texture.bars) - 2
    for voice, kind in enumerate(piece.species):
        if kind != "4":
            continue
        untied = _untied(piece, voice)
        numbers = [texture.bar_index(tone.on) for tone in untied]
        for count, (tone, bar) in enumerate(zip(untied, numbers, strict=True), start=1):
            if bar == last and last > 1:
                yield Fault(tone.on, tone.on, (tone,), "the last bar but one is not tied", "close")
            elif bar == 1:
                yield Fault(tone.on, tone.on, (tone,), "the ties stop just after the beginning")
            elif bar - 1 in numbers:
                yield Fault(tone.on, tone.on, (tone,), "two bars running are not tied")
            elif count > settings.number("most"):
                yield Fault(tone.on, tone.on, (tone,), f"{count} bars so far go without a tie")


def _share(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for voice, kind in enumerate(piece.species):
        if kind != "4":
            continue
        chain = [one for one in piece.suspensions if one.held.voice == voice]
        bars = len(texture.bars) - 2
        line = texture.lines[voice]
        if bars >= 4 and len(chain) * 100 < settings.number("percent") * bars:
            says = f"{len(chain)} of {bars} bars have a dissonant tie"
            yield Fault(line[0].on, line[-1].on, (line[0], line[-1]), says)
        for figure, group in groupby(chain, key=lambda one: one.figure):
            same = list(group)
            if len(same) > settings.number("running"):
                tones = tuple(one.held for one in same)
                yield Fault(same[0].at, same[-1].at, tones, f"{figure} stands {len(same)} times running", "running")


RULES = (
    Rule(
        id="break-species",
        sentence="Ties are broken for a bar at most twice, never two bars running, nor just after the beginning or before the end.",
        advice="tie the note over, or move the free bar elsewhere",
        source="Bridge c. 1878, chapter 9; Fux 1725 (fig 73 leaves its fifth bar untied)",
        find=_broken,
        species=frozenset({"4"}),
        parameters={"most": "2"},
        cases={"close": "in the last bar but one"},
        bad=(
            "species: 4; cantus: bass; sing: soprano :: . A4 | - F | G B | A G | - F# | G // D4 | D4 | G4 | C4 | A3 | G3",
        ),
        good=(
            "species: 4; cantus: bass; sing: soprano :: . A4 | - F | G B | - A | - F# | G // D4 | D4 | G4 | C4 | A3 | G3",
        ),
    ),
    Rule(
        id="tie-share",
        sentence="Two bars in five or more have a dissonant tie, and no figure stands more than three times running.",
        advice="change the figure, or make more of the ties dissonant",
        source="a university's fourth-species grading guide",
        find=_share,
        species=frozenset({"4"}),
        parameters={"percent": "40", "running": "3"},
        cases={"running": "the same figure too often running"},
        bad=(
            "species: 4; cantus: bass; sing: soprano :: . A4 | - D5 | - A | - G | - C5 | E // D4 | F4 | F4 | E4 | E4 | C4",
        ),
        good=(
            "species: 4; cantus: bass; sing: soprano :: . C5 | - B | - A | - G | C B | C // A4 | D4 | C4 | B3 | E4 | C4",
        ),
    ),
)
