"""A Standard MIDI File as a score: voices named and spelled, meters, signatures and tempi in quarters."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from pathlib import PurePath

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS, refuse_many_lines
from trainer.formats._midi_voices import Overlap, Pressed, fitting_grid, on_grid, one_voice, pressed_keys
from trainer.formats._smf import USUAL_TEMPO_US, KeyEvent, MidiContent, read_smf
from trainer.formats._tempi import Points, followed
from trainer.score.model import Key, Line, Note, Origin, Score
from trainer.score.pitch import Pitch, spelled_midi
from trainer.score.time import Bars, Meter, TempoMap, lay_out_bars

DRUM_CHANNEL = 9

Keys = tuple[tuple[Fraction, Key], ...]
Meters = tuple[tuple[Fraction, Meter], ...]


@dataclass(frozen=True, slots=True)
class _Voice:
    name: str
    track: int
    keys: tuple[Pressed, ...]


def read(content: bytes, path: str) -> Score:
    """The score in a MIDI file. Raises ScoreError only."""
    smf = read_smf(content, path)
    _refuse_other_time(smf, path)
    voices = _voices(smf)
    if not voices:
        raise ScoreError("the MIDI file has no notes", path, "choose a file with a voice in each track")
    refuse_many_lines(len(voices), path)
    grid, worst = fitting_grid(key.onset for voice in voices for key in voice.keys)
    meters, pickup = _meters(smf, path)
    signatures = _signatures(smf)
    end = max(key.end for voice in voices for key in voice.keys)
    if end / min(meter.bar_quarters for _, meter in meters) > MOST_BARS:
        raise ScoreError(f"the MIDI file has more than {MOST_BARS} bars", path, "cut it to the exercise")
    bars = lay_out_bars(meters, end_quarters=end, pickup_quarters=pickup)
    lines = tuple(_line(voice, smf, grid, signatures, bars, path) for voice in voices)
    tempi, left_out = followed((Fraction(ticks, smf.ticks_a_quarter), _qpm(tempo)) for ticks, tempo in smf.tempi)
    first_is_silent = all(event.track != 0 for event in smf.events)
    return Score(
        (smf.tracks[0].name if first_is_silent else "") or PurePath(path).stem,
        lines,
        meters=meters,
        keys=signatures,
        tempo=_tempo(smf, tempi),
        pickup_quarters=pickup,
        facts=_remarks(smf, grid, worst, left_out),
        origin=Origin(path),
    )


def _refuse_other_time(smf: MidiContent, path: str) -> None:
    if smf.kind == 2:
        raise ScoreError(
            "the MIDI file is of kind 2: pieces one after another", path, "save it as kind 1, all voices together"
        )
    if not smf.ticks_a_quarter:
        raise ScoreError(
            "the MIDI file counts film frames (SMPTE) and not quarters, so it has no bars",
            path,
            "save it with musical time (ticks a quarter)",
        )


def _voices(smf: MidiContent) -> list[_Voice]:
    """One a track, or one a channel where a track has several; silent ones and drums left out."""
    groups: dict[tuple[int, int], list[KeyEvent]] = {}
    for event in smf.events:
        if event.channel != DRUM_CHANNEL:
            groups.setdefault((event.track, event.channel), []).append(event)
    voices: list[_Voice] = []
    channels = Counter(track for track, _ in groups)
    for (track, channel), events in sorted(groups.items()):
        keys = pressed_keys(events, ticks_a_quarter=smf.ticks_a_quarter, end_ticks=smf.end_ticks)
        if not keys:
            continue
        own = smf.tracks[track].name
        if channels[track] > 1:
            own = f"{own} {channel + 1}" if own and smf.kind else f"channel {channel + 1}"
        taken = {voice.name for voice in voices}
        name = own or f"voice {len(voices) + 1}"
        if name in taken:
            name = f"{name} {len(voices) + 1}"
        voices.append(_Voice(name, track, tuple(keys)))
    return voices


def _line(voice: _Voice, smf: MidiContent, grid: Fraction, signatures: Keys, bars: Bars, path: str) -> Line:
    try:
        placed = one_voice(voice.keys, grid)
    except Overlap as overlap:
        at = on_grid(overlap.second.onset, grid)
        first, second = (_spelled(key.midi, at, signatures) for key in (overlap.first, overlap.second))
        raise ScoreError(
            f"two notes at once in {voice.name!r}: {first} still sounds when {second} begins",
            f"{path}, {bars.place(at)}",
            "give each voice a track or a channel of its own",
        ) from overlap
    lyrics = {
        on_grid(Fraction(ticks, smf.ticks_a_quarter), grid): text for ticks, text in smf.tracks[voice.track].lyrics
    }
    notes = (
        Note(
            key.onset,
            key.end - key.onset,
            _spelled(key.midi, key.onset, signatures),
            lyric=lyrics.get(key.onset, "").strip(),
            origin=Origin(path),
        )
        for key in placed
    )
    return Line(voice.name, tuple(notes))


def _spelled(midi: int, at: Fraction, signatures: Keys) -> Pitch:
    fifths = 0
    for since, key in signatures:
        if since <= at:
            fifths = key.fifths
    return spelled_midi(midi, fifths=fifths)


def _meters(smf: MidiContent, path: str) -> tuple[Meters, Fraction]:
    """Meters and the pickup, both in quarters."""
    meters: list[tuple[Fraction, Meter]] = [(Fraction(0), Meter(4, 4))]
    for ticks, upper, lower in smf.meters:
        at = Fraction(ticks, smf.ticks_a_quarter)
        try:
            meter = Meter(upper, lower)
        except ValueError as err:
            raise ScoreError(
                f"{upper}/{lower} is not a meter that heldline knows",
                path,
                "write the MIDI file again with plain meters",
            ) from err
        if at == meters[-1][0]:
            meters[-1] = (at, meter)
        elif meter != meters[-1][1] or (at - meters[-1][0]) % meter.bar_quarters:
            # the same meter again inside a bar cuts that bar short, as before the pickup of a second strain
            meters.append((at, meter))
    if len(meters) > 1:
        (_, first), (at, second) = meters[:2]
        if first.bar_quarters == at and at < second.bar_quarters:
            return ((Fraction(0), second), *meters[2:]), at
    return tuple(meters), Fraction(0)


def _signatures(smf: MidiContent) -> Keys:
    keys: list[tuple[Fraction, Key]] = []
    for ticks, fifths, mode in smf.signatures:
        at, key = Fraction(ticks, smf.ticks_a_quarter), Key(fifths, mode)
        if keys and keys[-1][0] == at:
            keys[-1] = (at, key)
        elif not keys or keys[-1][1] != key:
            keys.append((at, key))
    return tuple(keys)


def _tempo(smf: MidiContent, points: Points) -> TempoMap:
    """Those to keep; a file without any is taken at the score's usual tempo."""
    if not smf.tempi:
        return TempoMap()
    if not points or points[0][0] > 0:
        points = [(Fraction(0), _qpm(USUAL_TEMPO_US)), *points]
    return TempoMap(tuple(points))


def _qpm(tempo_us: int) -> Fraction:
    """Quarters a minute: the round number that was meant, where the whole microseconds allow one."""
    exact = Fraction(60_000_000, tempo_us)
    for places in (1, 2, 10, 100):
        rounded = Fraction(round(exact * places), places)
        if rounded > 0 and round(60_000_000 / rounded) == tempo_us:
            return rounded
    return exact


def _remarks(
    smf: MidiContent, grid: Fraction, worst: Fraction, left_out: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    remarks = list(left_out)
    if worst:
        remarks.append(f"notes set on a grid of {grid} quarter; the largest shift was {float(worst):.3f} quarters")
    drums = sum(1 for event in smf.events if event.channel == DRUM_CHANNEL and event.velocity)
    if drums:
        remarks.append(f"{drums} notes of channel 10 (drums) left out")
    return (("remark", "; ".join(remarks)),) if remarks else ()
