"""From a wish to an exercise: a cantus, its place, a search, and the check that has the last word."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from trainer.compose.beam import Effort, Spent, peaks_together, search
from trainer.compose.cantus import Cantus, fresh, named
from trainer.compose.given import NAME, given
from trainer.compose.ground import Ground, Law, mode_of
from trainer.compose.instead import in_the_way, said, wishes_like
from trainer.compose.plan import CANTUS, Peak, Plan, Voice
from trainer.compose.setting import Setting, chosen
from trainer.compose.taste import taste
from trainer.compose.wish import Composed, Wish, WishError, compass, refuse_nonsense
from trainer.compose.written import score_of
from trainer.rules.checking import Report, check_piece
from trainer.rules.chords.sevenths import sevenths
from trainer.rules.piece import Piece
from trainer.rules.ruleset import Row, RuleSet, shipped
from trainer.score.model import Score

ATTEMPTS, STATES, STATES_OF_ANOTHER = 40, 9_000, 1_200
"""Searches, and states that have gone on in all of them, before a wish is given up; states for a wish like it."""

WITH_PEAKS = 6
"""Searches after which no bar is chosen for the peaks any more: a tight layout has room for few lines."""

MOST_REFUSED = 24
"""Finished exercises that the check may refuse before a wish is given up."""

LOOKED_AT = 6
"""Finished exercises of one search that the check compares."""

MOST_BARREN = 3
"""Seeds of a batch, after its first exercise, that may find nothing."""

SUB_SEEDS = 4096

NOBODY = -1
PHRYGIAN_RISES, TIED_LEADS = 0.6, 0.75
"""How often, of one; our own."""


def compose(wish: Wish) -> Composed:
    """The exercise that *wish* asks for, correct under its rules; the same for the same wish on every machine.

    Raises
    ------
    WishError
        Where parts of the wish clash, with the nearest that can be had.
    """
    refuse_nonsense(wish)
    spent = Spent()
    made = _sought(wish, STATES, spent)
    if made is None:
        raise WishError(f"no exercise was found that keeps every rule{in_the_way(spent)}", said(wish), _nearest(wish))
    return made


def _sought(wish: Wish, states: int, spent: Spent) -> Composed | None:
    """An exercise, or None when so many states have gone on in vain."""
    rules = _rules(wish)
    misplaced: WishError | None = None
    for attempt in range(ATTEMPTS):
        if spent.states > states or spent.refused > MOST_REFUSED:
            break
        rng = random.Random(wish.seed * SUB_SEEDS + attempt)  # noqa: S311 - music, not secrets
        cantus = _cantus(wish, rules, rng)
        placed = replace(wish, final=wish.final or cantus.final) if cantus.name == NAME else wish
        try:
            setting = chosen(placed, cantus, rng)
        except WishError as err:
            if wish.melody:
                raise
            misplaced = err  # another new cantus may lie better
            continue
        found = _best(wish, rules, setting, attempt, rng, spent)
        if found is not None:
            return Composed(found, cantus.name, wish.seed)
    if spent.states == 0 and misplaced is not None:
        raise misplaced
    return None


def _nearest(wish: Wish) -> str:
    """Which part of the wish to give up: the first without which an exercise is found."""
    for words, other in wishes_like(wish):
        try:
            if _sought(other, STATES_OF_ANOTHER, Spent()) is not None:
                return f"{words} there is one"
        except WishError:
            continue
    return "no single change that was tried leads to one: try another seed, another mode, or another cantus in another voice"


def compose_batch(wish: Wish, count: int) -> Iterator[Composed]:
    """*count* exercises, no two alike: seeds go up from the wish's, and where one comes out as an earlier the next is taken.

    Raises
    ------
    WishError
        As :func:`compose`; and for a count below 1.
    """
    if count < 1:
        raise WishError(f"{count} exercises cannot be composed", "--count", "ask for 1 or more")
    seen: set[str] = set()
    seed, title, barren = wish.seed, wish.title, 0
    while len(seen) < count:
        number = len(seen) + 1
        try:
            made = compose(replace(wish, seed=seed, title=f"{title} {number}" if title and count > 1 else title))
        except WishError:
            barren += 1
            if not seen or barren > MOST_BARREN:
                raise
            continue
        finally:
            seed += 1
        if made.score.digest() not in seen:
            seen.add(made.score.digest())
            yield made


def _rules(wish: Wish) -> RuleSet:
    rules = wish.rules if isinstance(wish.rules, RuleSet) else shipped(wish.rules)
    if not wish.compasses:
        return rules
    row = rules.rows.get("range-voice", Row(("F", "F", "F"), {}, ""))
    wider = {voice: f"{low}..{high}" for voice, low, high in wish.compasses}
    return RuleSet(rules.name, {**rules.rows, "range-voice": Row(row.strictness, {**row.parameters, **wider}, row.why)})


def _cantus(wish: Wish, rules: RuleSet, rng: random.Random) -> Cantus:
    if isinstance(wish.melody, tuple):
        return given(wish, rules)
    if wish.melody:
        known = named()
        if wish.melody not in known:
            raise WishError(f"there is no cantus called {wish.melody}", "--melody", f"choose one of {', '.join(known)}")
        cantus = known[wish.melody]
        if _kin(cantus.mode) != _kin(wish.mode):
            raise WishError(
                f"{wish.melody} is {cantus.mode}, not {wish.mode}",
                "--melody, --mode",
                f"ask for {cantus.mode}, or for another cantus",
            )
        return cantus
    length = wish.length or 8 + int(rng.random() * 5)
    return fresh(wish.mode, length, rules, rng)


def _kin(mode: str) -> str:
    return {"major": "ionian", "minor": "aeolian"}.get(mode, mode)


def species_by_voice(wish: Wish, rng: random.Random) -> tuple[str, ...]:
    """What each voice is, top first."""
    if not isinstance(wish.species, str):
        return wish.species
    if wish.species != "combined":
        return tuple(
            CANTUS if voice == wish.cantus_voice else wish.species if voice == wish.line_voice else "1"
            for voice in wish.voices
        )
    kinds = ["2", "3", "4"]
    found = []
    for voice in wish.voices:
        found.append(CANTUS if voice == wish.cantus_voice else kinds.pop(int(rng.random() * len(kinds))))
    return tuple(found)


def _best(wish: Wish, rules: RuleSet, setting: Setting, attempt: int, rng: random.Random, spent: Spent) -> Score | None:
    species = species_by_voice(wish, rng)
    voices = tuple(Voice(name, kind, *compass(wish, name)) for name, kind in zip(wish.voices, species, strict=True))
    law = Law(rules, wish.parts)
    ground = Ground(
        mode_of(setting.final, wish.mode), law, min(voice.low for voice in voices), max(voice.high for voice in voices)
    )
    try:
        cantus = ground.of_key(setting.pitches)
    except KeyError as err:
        raise WishError(
            f"{err.args[0]} in the cantus is not of {setting.final} {wish.mode}",
            "--melody, --mode",
            "name the cantus' own mode",
        ) from err
    leader = _leader(species, wish, rng)
    plan = Plan(
        ground, voices, tuple(cantus), _peaks(voices, ground, tuple(cantus), attempt, rng), leader, wish.sevenths
    )
    effort = _effort(plan, attempt)
    finished = search(plan, rng, effort, spent)
    finished.sort(key=lambda state: state.price + peaks_together(plan, state) * plan.taste["peaks-together"])
    facts = _facts(wish, species, setting, rules)
    best: tuple[int, int, Score] | None = None
    for index, state in enumerate(finished[:LOOKED_AT]):
        score = score_of(plan, state, wish.title or _title(wish, setting), facts)
        piece = Piece(score, dict(enumerate(species)))
        report = check_piece(piece, rules)
        if report.correct and (not wish.sevenths or sevenths(piece)):
            marked = (state.price + _marks(report), index, score)
            best = marked if best is None or marked[:2] < best[:2] else best
        elif not report.correct:
            spent.refused += 1
            spent.broken.update({one.rule for one in report.findings if one.strictness == "forbidden"})
    return best[2] if best else None


def _marks(report: Report) -> int:
    """What a teacher would mark besides, as a price."""
    return sum(taste()["grade-avoid" if one.strictness == "avoid" else "grade-style"] for one in report.findings)


def _leader(species: tuple[str, ...], wish: Wish, rng: random.Random) -> int:
    """The voice that rises into the final."""
    bass, cantus = wish.parts - 1, species.index(CANTUS)
    if wish.mode == "phrygian" and wish.parts > 2 and cantus != bass:
        # under a cantus that falls a semitone only the bass can rise, or it goes from the fourth degree and nobody rises
        return bass if rng.random() < PHRYGIAN_RISES else NOBODY
    free = [voice for voice, kind in enumerate(species) if kind != CANTUS and (voice < bass or wish.parts == 2)]
    tied = [voice for voice in free if species[voice] in "45"]
    among = tied if tied and rng.random() < TIED_LEADS else free
    return among[int(rng.random() * len(among))]


def _peaks(
    voices: tuple[Voice, ...], ground: Ground, cantus: tuple[int, ...], attempt: int, rng: random.Random
) -> tuple[Peak | None, ...]:
    """A bar of its own for the peak of every line, near the top of its compass but with room for the voice above."""
    if attempt >= WITH_PEAKS:
        return tuple(None for _ in voices)
    bars = len(cantus)
    taken = {max(range(bars), key=lambda bar: (ground.midi[cantus[bar]], -bar))}
    found: list[Peak | None] = []
    here = next(index for index, voice in enumerate(voices) if voice.species == CANTUS)
    for index, voice in enumerate(voices):
        if voice.species == CANTUS:
            found.append(None)
            continue
        free = [bar for bar in range(2, bars - 2) if bar not in taken] or list(range(1, bars - 1))
        bar = free[int(rng.random() * len(free))]
        taken.add(bar)
        top = max(dia for dia, midi in zip(ground.dia, ground.midi, strict=True) if voice.low <= midi <= voice.high)
        dia = top - 1 - int(rng.random() * 4)
        there = ground.dia[cantus[bar]]
        if index < here:
            dia = min(dia, there + (9 if len(voices) == 2 else 7 * (here - index) + 2))
        else:
            dia = min(dia, there - 2 * (index - here))
        found.append(Peak(bar, dia))
    return tuple(found)


def _effort(plan: Plan, attempt: int) -> Effort:
    width = {2: 48, 3: 32, 4: 20}[plan.parts]
    return Effort(width * (1 + attempt // 8), 4 + attempt // 8)


def _facts(wish: Wish, species: tuple[str, ...], setting: Setting, rules: RuleSet) -> tuple[tuple[str, str], ...]:
    said = wish.species if isinstance(wish.species, str) else "combined"
    return (
        ("mode", f"{setting.final} {wish.mode}"),
        ("species", said),
        ("rules", rules.name),
        ("cantus", wish.voices[species.index(CANTUS)]),
        ("line", wish.line_voice),
        ("sing", wish.sung),
    )


def _title(wish: Wish, setting: Setting) -> str:
    species = wish.species if isinstance(wish.species, str) else "combined"
    return f"{setting.final} {wish.mode} in {wish.parts} parts, species {species}, {wish.line_voice} {wish.seed}"
