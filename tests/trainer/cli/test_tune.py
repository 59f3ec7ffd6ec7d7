"""``heldline tune``: chords listed, sounded, sung from a recording and told; refused in a sentence where there are none."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import simulated_singer
import soundfile
from heldline_command import heldline
from slips import SungNote

from trainer.cli import _live, tune
from trainer.cli._parser import UsageError, parse
from trainer.library import resolve
from trainer.live.courses import TuneCourse
from trainer.practice.settings import FASTEST_SINKING_CENTS
from trainer.tuning.chords import LONGEST_BEATS, SHORTEST_BEATS, chords_of, chords_score
from trainer.tuning.places import places

TUNE = ("tune", "Ferry Bell at Low Water", "--voice", "tenor")
STARTS_AT_S = 0.5


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    """Three thirds held for three seconds each: one sinking by eight cents a second, one as written, one pure above the bass."""
    score = resolve("1")
    chords = chords_score(score, 2, places(score, 2, ("third",)), beats=3)
    sung = []
    for k, note in enumerate(chords.lines[2].notes):
        at = STARTS_AT_S + float(note.onset_quarters)
        for second in range(3):
            off = (-0.08 * second, 0.0, -0.14)[k]
            sung.append(SungNote(k, at + second, at + second + 1.0, note.pitch.midi + off))
    take = simulated_singer.sing(tuple(sung), seed=4, seconds=STARTS_AT_S + 19)
    path = tmp_path / "thirds.wav"
    soundfile.write(path, take.samples, take.rate_hz)
    return path


def test_the_chords_are_listed_for_people_and_programs() -> None:
    done = heldline(*TUNE, "--of", "third", "--list")
    assert done.out.splitlines()[0] == "bar 2 beat 1: third of F# minor over A"
    rows = heldline(*TUNE, "--of", "third,fifth", "--most", "3", "--list", "--json").table["chords"]
    assert len(rows) == 3
    assert {row["kind"] for row in rows} == {"third", "fifth"}
    assert [type(row["bar"]) for row in rows] == [int] * 3


def test_a_bar_is_counted_in_reading_order_with_the_printed_number_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.drill"
    path.write_text("title: a\nprinted: 8 9\nkey: C major\n\nsoprano | G4 | A4 |\nalto | E4 | F4 |\nbass | C3 | F3 |\n")
    words = ("tune", path, "--voice", "alto", "--of", "third", "--list")
    assert heldline(*words).out == "bar 1 (printed 8) beat 1: third of C major\n"
    assert heldline(*words, "--json").table["chords"] == [
        {"kind": "third", "says": "third of C major", "bar": 1, "printed_bar": "8", "beat": 1.0}
    ]


def test_the_ranges_that_are_read_are_those_of_the_chords_and_settings() -> None:
    for option, ends in (("--hold", (SHORTEST_BEATS, LONGEST_BEATS)), ("--sinking", (0, FASTEST_SINKING_CENTS))):
        for end, beyond in zip(ends, (-1, 1), strict=True):
            assert parse([*TUNE, option, str(end)])
            with pytest.raises(UsageError):
                parse([*TUNE, option, str(end + beyond)])


def test_a_file_counts_in_as_many_bars_as_are_asked_for(tmp_path: Path) -> None:
    words = (*TUNE, "--of", "third", "--most", "1", "--hold", "2", "-o", tmp_path / "a.wav", "--json")
    none, two = (heldline(*words, "--count-in", bars).table["starts_at_s"] for bars in (0, 2))
    assert two - none == pytest.approx(4)


def test_a_recording_is_told_beat_by_beat_and_chord_by_chord(recording: Path) -> None:
    words = (*TUNE, "--of", "third", "--hold", "3", "--input", recording, "--starts-at", STARTS_AT_S)
    done = heldline(*words, "--against", "pure", "--json")
    assert done.status == 0
    assert done.table["schema"] == "heldline.take/1"
    assert [beat["sign"] for beat in done.table["beats"]].count("rest") == 9
    pure = done.table["chords"]
    assert [(one["bar"], one["kind"], one["way"]) for one in pure] == [
        (2, "third", "sank"),
        (4, "third", "steady"),
        (6, "third", "steady"),
    ]
    assert pure[0]["moved_cents"] == pytest.approx(-16, abs=7)
    assert [one["cents"] for one in pure[1:]] == [pytest.approx(0, abs=4)] * 2
    equal = heldline("review", "--against", "equal", "--json").table["chords"]  # kept, and judged the other way
    assert [one["cents"] for one in equal[1:]] == [pytest.approx(0, abs=4), pytest.approx(-14, abs=4)]
    told = heldline("review").out
    assert "Chords    bar 2: third of F# minor over A, bar 2 of the piece: " in told
    assert "while it was held" in " ".join(told.split())
    assert "Next      hold it against the bass alone: --of third --with bass" in told
    assert "detached" not in told  # nor anything else that is said of a whole line


def test_the_chords_of_a_kept_take_are_held_once_more_as_they_were(recording: Path) -> None:
    words = ("--of", "third", "--hold", "3", "--input", recording, "--starts-at", STARTS_AT_S)
    assert heldline(*TUNE, *words).status == 0
    again = heldline("tune", "--again", "--input", recording, "--starts-at", STARTS_AT_S, "--json", "--no-log").table
    assert again["chords"] == heldline("review", "--json").table["chords"]
    assert again["score"]["title"] == "Ferry Bell at Low Water, chords to hold"


def test_voices_that_sink_are_said_and_move_what_is_in_tune(recording: Path) -> None:
    words = (*TUNE, "--of", "third", "--hold", "3", "--input", recording, "--starts-at", STARTS_AT_S, "--no-log")
    steady = heldline(*words, "--json").table
    sinking = heldline(*words, "--sinking", "60", "--json").table
    assert "sinking_cents" not in steady["settings"]
    assert sinking["settings"]["sinking_cents"] == 60
    # a cent a second: 4.5 seconds into the music, and 16.5
    moved = [b["cents"] - a["cents"] for a, b in zip(steady["chords"], sinking["chords"], strict=True)]
    assert moved[0] == pytest.approx(4.5, abs=2)
    assert moved[2] == pytest.approx(16.5, abs=2)
    assert "equal tuning, sinking by 60 cents a minute" in " ".join(heldline(*words, "--sinking", "60").out.split())
    assert heldline(*words, "--sinking", "90").status == 2


def test_chords_that_were_held_are_no_exercise_that_was_sung(recording: Path) -> None:
    words = (*TUNE, "--of", "third", "--hold", "3", "--input", recording, "--starts-at", STARTS_AT_S)
    before = heldline("tally", "--json").table
    assert heldline(*words).status == 0
    after = heldline("tally", "--json").table
    assert after == before
    assert "chords to hold" not in heldline("plan").out


def test_the_others_are_sounded_into_a_file_that_says_where_to_begin(tmp_path: Path) -> None:
    path = tmp_path / "chords.wav"
    done = heldline(*TUNE, "--of", "third", "--most", "1", "--hold", "2", "--with", "bass", "-o", path, "--json")
    assert done.status == 0
    assert done.table["voices"] == ["bass"]
    assert done.table["length_s"] > done.table["starts_at_s"] + 4


def test_in_another_key_both_keys_are_said(tmp_path: Path, recording: Path) -> None:
    keys = "a minor third down, in G# dorian; written in B dorian"
    some = (*TUNE, "--of", "third", "--most", "1", "--hold", "2", "--down", "3")
    assert f"Key: {keys}" in heldline(*some, "--list").out
    assert f"Key: {keys}" in heldline(*some, "-o", tmp_path / "chords.wav").out
    assert keys in heldline(*some, "--input", recording, "--no-log").out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("tune",), "SCORE is missing"),
        ((*TUNE, "--of", "sixth", "--list"), "third, fifth, leading, suspension"),
        ((*TUNE, "--of", "suspension", "--list"), "the tenor has no suspension to hold here"),
        ((*TUNE, "--hold", "1", "-o", "x.wav"), "2 to 12"),
        ((*TUNE, "--hold", "nan"), "'nan' is not a whole number from 2 to 12"),
        ((*TUNE, "--sinking", "-5000"), "'-5000' is not a whole number from 0 to 60"),
        ((*TUNE, "--most", "0", "--list"), "1 or more"),
        ((*TUNE, "--most", "x", "--list"), "1 or more"),
        ((*TUNE, "--with", "tenor", "--list"), "nothing would sound beside the tenor\n  --with"),
        ((*TUNE, "--with", "tenor", "-o", "x.wav"), "nothing would sound beside the tenor\n  --with"),
        ((*TUNE, "--input", "x.wav", "-o", "y.wav"), "one at a time\n  -o, --input"),
        ((*TUNE, "--list", "-o", "y.wav"), "one at a time\n  --list, -o\n  leave -o out"),
        ((*TUNE, "--list", "--input", "y.wav"), "one at a time\n  --list, --input"),
        ((*TUNE, "--count-in", "9", "-o", "x.wav"), "9 bars cannot be counted in"),
        ((*TUNE, "--loop"), "--loop has no place here"),
        ((*TUNE, "--bars", "40-41", "--list"), "there are no bars 40-41"),
        ((*TUNE, "--input", "x.wav", "--guide", "full"), "--guide is for a live take"),
        ((*TUNE, "--starts-at", "3"), "--starts-at is for a recording"),
    ],
)
def test_what_cannot_be_is_one_clear_sentence(words: tuple[str, ...], said: str) -> None:
    done = heldline(*words)
    assert done.status == 2
    assert said in done.err


def test_a_live_session_is_of_the_chords_with_each_entry_given() -> None:
    args = parse([*TUNE, "--of", "third", "--with", "bass", "--bars", "1-8", "--guide", "entries"])
    wish = tune.tuned(args, _live.wish_of(args))
    assert isinstance(wish.course, TuneCourse)
    assert [one.says for one in chords_of(wish.score)] == [
        "third of F# minor over A, bar 2 of the piece",
        "third of E major over G#, bar 7 of the piece",
    ]
    assert (wish.desk.guide, wish.desk.muted) == ("entries", {0, 1})
    assert wish.bars is None


def test_what_was_heard_of_a_chord_is_called_as_the_singer_calls_notes(recording: Path) -> None:
    assert heldline("settings", "set", "names", "german").status == 0
    words = ("--of", "fifth", "--hold", "3", "--input", recording, "--starts-at", STARTS_AT_S, "--no-log")
    chords = heldline(*TUNE, *words).out.partition("Chords")[2]
    assert "heard" in chords
    assert not re.search(r"[A-G][#b]?\d heard", " ".join(chords.split()))
