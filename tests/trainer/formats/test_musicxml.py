"""MusicXML by hand, case by case, after the standard (MusicXML 4.0, W3C Community Group Report 2021)."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree import ElementTree

import pytest
from musicxml_text import COMMON, bars, document, note, refused, sung

from trainer.formats.musicxml import read, write
from trainer.library import resolve
from trainer.score.model import Key
from trainer.score.time import Meter


def test_notes_rests_and_divisions_give_quarters() -> None:
    score = read(document([note("C4", 2) + note("r", 1) + note("D4", 1) + note("E#4", 4), note("Bb3", 8)]), "x")
    assert sung(score) == "C4@0+1 D4@3/2+1/2 E#4@2+2 Bb3@4+4"


def test_ties_are_one_note() -> None:
    tie = "<tie type='start'/>"
    both = "<tie type='stop'/><tie type='start'/>"
    score = read(
        document(
            [
                note("C4", 8, inside=tie),
                note("C4", 8, inside=both),
                note("C4", 4, inside="<tie type='stop'/>") + note("C4", 4),
            ]
        ),
        "x",
    )
    assert sung(score) == "C4@0+10 C4@10+2"


def test_backup_gives_the_second_voice_a_line_of_its_own() -> None:
    measure = note("E4", 4) + note("F4", 4) + "<backup><duration>8</duration></backup>" + note("C4", 8, voice=2)
    score = read(document([measure], names=("Women",)), "x")
    assert [line.name for line in score.lines] == ["Women 1", "Women 2"]
    assert (sung(score), sung(score, 1)) == ("E4@0+2 F4@2+2", "C4@0+4")


def test_forward_leaves_a_rest_in_a_voice() -> None:
    measure = (
        note("E4", 8)
        + "<backup><duration>8</duration></backup><forward><duration>4</duration></forward>"
        + note("C4", 4, voice=2)
    )
    assert sung(read(document([measure]), "x"), 1) == "C4@2+2"


def test_one_voice_number_on_two_staves_is_two_lines() -> None:
    measure = note("E4", 8) + "<backup><duration>8</duration></backup>" + note("C3", 8, staff=2)
    assert [sung(read(document([measure]), "x"), i) for i in (0, 1)] == ["E4@0+4", "C3@0+4"]


def test_a_voice_that_crosses_to_the_other_staff_stays_one_line() -> None:
    score = read(document([note("E4", 4) + note("C3", 4, staff=2)]), "x")
    assert len(score.lines) == 1


def test_chords_are_divided_from_the_top() -> None:
    measure = note("C4", 4) + note("E4", 4, inside="chord") + note("D4", 4)
    score = read(document([measure]), "x")
    assert (sung(score), sung(score, 1)) == ("E4@0+2 D4@2+2", "C4@0+2 D4@2+2")


def test_chords_of_changing_size_are_refused_with_the_place() -> None:
    measure = note("C4", 4) + note("E4", 4, inside="chord") + note("G4", 4, inside="chord")
    measure += note("C4", 4) + note("E4", 4, inside="chord")
    err = refused(document([measure]))
    assert "a chord of 2 notes where others have 3" in err.what
    assert "bar 1 beat 3" in err.where


def test_a_transposing_part_sounds_as_it_is_transposed() -> None:
    # a clarinet in B flat: written D major sounds C major (MusicXML 4.0, transpose: diatonic -1, chromatic -2)
    written = (
        "<attributes><key><fifths>2</fifths></key>"
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>" + note("F#4", 8)
    )
    score = read(document([written.replace("<key><fifths>2</fifths></key>", "")]), "x")
    assert sung(score) == "E4@0+4"
    moved = read(document([written]).replace(b"<key><fifths>0</fifths></key>", b""), "x")
    assert moved.keys == ((Fraction(0), Key(0, "")),)


def test_a_clef_an_octave_down_changes_no_pitch() -> None:
    clef = (
        "<attributes><clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef></attributes>"
    )
    assert sung(read(document([clef + note("C4", 8)]), "x")) == "C4@0+4"


def test_a_short_first_measure_is_a_pickup() -> None:
    score = read(document([note("G4", 2), note("C5", 8)]), "x")
    assert score.pickup_quarters == 1
    assert [str(score.bars().place(n.onset_quarters)) for n in score.lines[0].notes] == ["bar 0 beat 4", "bar 1 beat 1"]


def test_a_tempo_that_nobody_can_follow_is_left_out_and_told() -> None:
    score = read(document(['<sound tempo="999999"/>' + note("C4", 8), '<sound tempo="0.5"/>' + note("D4", 8)]), "x")
    assert score.tempo.points == ((Fraction(0), Fraction(60)),)
    assert "a tempo of 999999 quarters a minute left out; a tempo of 0.5" in score.fact("remark")
    slow = read(document(['<sound tempo="1"/>' + note("C4", 8), '<sound tempo="1000"/>' + note("D4", 8)]), "x")
    assert slow.tempo.points == ((Fraction(0), Fraction(1)), (Fraction(4), Fraction(1000)))


def test_of_a_change_at_the_end_of_a_measure_and_one_at_the_start_of_the_next_the_later_holds() -> None:
    key = "<attributes><key><fifths>{}</fifths></key></attributes>"
    first = '<sound tempo="72"/>' + note("C4", 8) + '<sound tempo="90"/>' + key.format(2)
    second = '<sound tempo="60"/>' + key.format(-1) + note("D4", 8)
    score = read(document([first, second, note("E4", 8)]), "x")
    assert score.tempo.points == ((Fraction(0), Fraction(72)), (Fraction(4), Fraction(60)))
    assert [(at, one.fifths) for at, one in score.keys] == [(0, 0), (4, -1)]


def test_meter_key_and_tempo_changes_stand_at_their_places() -> None:
    second = (
        "<attributes><key><fifths>-3</fifths><mode>minor</mode></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
        + note("C4", 2)
        + "<direction><direction-type><metronome><beat-unit>half</beat-unit>"
        "<per-minute>ca. 40</per-minute></metronome></direction-type></direction>" + note("C4", 4)
    )
    score = read(document(['<sound tempo="72"/>' + note("C4", 8), second]), "x")
    assert score.meters == ((Fraction(0), Meter(4, 4)), (Fraction(4), Meter(3, 4)))
    assert score.keys == ((Fraction(0), Key(0, "")), (Fraction(4), Key(-3, "minor")))
    assert score.tempo.points == ((Fraction(0), Fraction(72)), (Fraction(5), Fraction(80)))


def test_compound_meters_add_up() -> None:
    time = b"<time><beats>3+2</beats><beat-type>8</beat-type></time>"
    score = read(document([note("C4", 5)]).replace(b"<time><beats>4</beats><beat-type>4</beat-type></time>", time), "x")
    assert score.meters == ((Fraction(0), Meter(5, 8)),)


def test_breaths_and_words_come_along() -> None:
    marks = "<notations><articulations><breath-mark/></articulations></notations>"
    lyric = "<lyric number='1'><syllabic>begin</syllabic><text>low</text></lyric>"
    first, second = read(document([note("C4", 4, inside=marks + lyric) + note("D4", 4)]), "x").lines[0].notes
    assert (first.breath_after, first.lyric) == (True, "low-")
    assert (second.breath_after, second.lyric) == (False, "")


def test_grace_and_cue_notes_are_left_out_and_said_so() -> None:
    grace = "<note><grace/><pitch><step>B</step><octave>3</octave></pitch><voice>1</voice></note>"
    cue = "<note><cue/><pitch><step>B</step><octave>3</octave></pitch><duration>2</duration><voice>1</voice></note>"
    score = read(document([grace + note("C4", 6) + cue]), "x")
    assert sung(score) == "C4@0+3"
    assert score.fact("remark") == "1 grace notes left out; 1 cue notes left out"


def test_rounded_tuplets_mean_their_written_value() -> None:
    # a program with 10 divisions a quarter writes a triplet of eighths as 3, 3 and 4
    triplet = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    measure = "".join(note("C4", length, inside=triplet) for length in (3, 3, 4)) + note("D4", 30)
    score = read(document([measure]).replace(b"<divisions>2<", b"<divisions>10<"), "x")
    assert sung(score) == "C4@0+1/3 C4@1/3+1/3 C4@2/3+1/3 D4@1+3"


def test_two_notes_at_once_in_one_voice_are_refused_with_the_place() -> None:
    err = refused(document([note("C4", 8), note("C4", 8) + "<backup><duration>4</duration></backup>" + note("E4", 4)]))
    assert err.what == "two notes at once: C4 still sounds when E4 begins"
    assert "bar 2 beat 3" in err.where


def test_timewise_and_partwise_are_the_same_music() -> None:
    upper, lower = [note("E4", 8), note("D4", 8)], [note("C4", 8), note("B3", 8)]
    measures = "".join(
        f'<measure number="{n}">'
        + "".join(
            f'<part id="P{i}">{COMMON if n == 1 else ""}{part[n - 1]}</part>' for i, part in enumerate((upper, lower))
        )
        + "</measure>"
        for n in (1, 2)
    )
    listed = "<part-list><score-part id='P0'><part-name/></score-part><score-part id='P1'><part-name/></score-part></part-list>"
    timewise = f"<score-timewise>{listed}{measures}</score-timewise>".encode()
    assert read(timewise, "x") == read(document(upper, lower), "x")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "latin-1"])
def test_every_lawful_encoding_is_read(encoding: str) -> None:
    text = document(bars("C4"), names=("Bässe",)).decode()
    content = f'<?xml version="1.0" encoding="{encoding}"?>{text}'.encode(encoding)
    assert read(content, "x").lines[0].name == "Bässe"


def test_a_part_that_rests_throughout_is_skipped() -> None:
    assert len(read(document(bars("C4"), [note("r", 8)]), "x").lines) == 1


def test_written_files_name_the_standard_and_split_at_bar_lines() -> None:
    text = write(resolve("1")).decode()
    assert '"-//Recordare//DTD MusicXML 4.0 Partwise//EN"' in text
    assert text.count("<measure ") == 44
    long = read(
        document([note("C4", 8, inside="<tie type='start'/>"), note("C4", 8, inside="<tie type='stop'/>")]), "x"
    )
    assert write(long).decode().count('<tied type="start"') == 1


def test_music_without_a_meter_is_counted_by_its_measures_or_refused() -> None:
    time = b"<time><beats>4</beats><beat-type>4</beat-type></time>"
    steady = document([note("A4", 2), note("B4", 6), note("C5", 6), note("D5", 6)]).replace(time, b"")
    score = read(steady, "x")
    assert score.meters == ((Fraction(0), Meter(3, 4)),)
    assert score.pickup_quarters == 1
    assert "no meter; its measures are counted in 3/4" in score.fact("remark")
    uneven = document([note("A4", 2), note("B4", 6), note("C5", 4), note("D5", 6)]).replace(time, b"")
    assert "no meter" in refused(uneven).what
    free = steady.replace(b"</key>", b"</key><time><senza-misura/></time>")
    assert "no meter" in refused(free).what


def test_an_empty_part_is_left_out_and_said_so() -> None:
    score = read(document([note("A4", 8)], [note("r", 8)], names=("Alto", "Tenor")), "x")
    assert [line.name for line in score.lines] == ["Alto"]
    assert score.fact("remark") == "Tenor left out: no notes in it"


def test_a_remark_that_the_file_keeps_is_told_once_with_the_new_ones() -> None:
    field = "<miscellaneous-field name='heldline remark'>drums left out</miscellaneous-field>"
    head = f"<identification><miscellaneous>{field}</miscellaneous></identification><part-list>"
    content = document([note("A4", 8)], [note("r", 8)], names=("Alto", "Tenor")).replace(b"<part-list>", head.encode())
    score = read(content, "x")
    assert score.facts == (("remark", "drums left out; Tenor left out: no notes in it"),)
    assert read(write(score), "x").facts == (("remark", "drums left out; Tenor left out: no notes in it"),)


def test_a_lone_measure_counts_whole_unless_the_file_says_that_it_does_not_count() -> None:
    content = document([note("A4", 4)])
    assert read(content, "x").pickup_quarters == 0
    assert read(content.replace(b'number="1"', b'number="1" implicit="yes"'), "x").pickup_quarters == 2


def test_a_part_that_ends_early_is_told() -> None:
    whole = note("A4", 8)
    score = read(document([whole, whole], [whole], names=("Alto", "Tenor")), "x")
    assert score.fact("remark") == "Tenor has 1 of 2 measures"


def test_a_meter_that_changes_inside_a_measure_is_refused() -> None:
    change = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    assert "change of meter inside" in refused(document([note("A4", 4) + change + note("B4", 4)])).what


def test_a_signature_is_moved_by_what_is_left_of_a_transposition_without_its_octaves() -> None:
    moved = "<attributes><transpose><diatonic>7</diatonic><chromatic>11</chromatic></transpose></attributes>"
    second = "<attributes><key><fifths>2</fifths></key></attributes>"
    score = read(document([moved + note("A4", 8), second + note("A4", 8)]), "x")
    assert [str(one.pitch) for one in score.lines[0].notes] == ["Ab5", "Ab5"]
    assert score.keys[-1][1].fifths == 2 - 7


@pytest.mark.parametrize(("written", "sounding"), [(7, 7), (-7, -7), (9, -3), (-9, 3), (8, -4), (-8, 4), (0, 0)])
def test_a_signature_of_more_than_seven_signs_is_the_same_sounds_with_fewer(written: int, sounding: int) -> None:
    key = f"<attributes><key><fifths>{written}</fifths></key></attributes>"
    assert read(document([note("A4", 8), key + note("A4", 8)]), "x").keys[-1][1].fifths == sounding


def test_a_transposition_that_no_sign_can_write_is_refused() -> None:
    wrong = "<attributes><transpose><diatonic>6</diatonic><chromatic>0</chromatic></transpose></attributes>"
    assert "a transposition of 0 semitones over 6 letters" in refused(document([wrong + note("A4", 8)])).what


def test_two_syllables_on_a_note_are_parted_by_one_blank() -> None:
    lyric = "<lyric><text> a</text><elision/><text> b </text></lyric>"
    (one,) = read(document([note("A4", 8, inside=lyric)]), "x").lines[0].notes
    assert one.lyric == "a b"


def test_nine_parts_are_refused_and_eight_are_read() -> None:
    assert len(read(document(*[[note("A4", 8)]] * 8), "x").lines) == 8
    assert "9 voices" in refused(document(*[[note("A4", 8)]] * 9)).what


def test_two_staves_with_two_voices_each_are_four_lines_from_the_top() -> None:
    back = "<backup><duration>8</duration></backup>"
    upper = note("G4", 8) + back + note("E4", 4, voice=2) + note("F4", 4, voice=2)
    lower = note("C4", 8, voice=5, staff=2) + back + note("C3", 8, voice=6, staff=2)
    score = read(document([upper + back + lower], names=("Short score",)), "x")
    assert [sung(score, line) for line in range(4)] == ["G4@0+4", "E4@0+2 F4@2+2", "C4@0+4", "C3@0+4"]
    assert [line.name for line in score.lines] == [f"Short score {number}" for number in (1, 2, 3, 4)]
    assert score.voice_names() == ("soprano", "alto", "tenor", "bass")


def timewise(content: bytes) -> bytes:
    """The same file with its measures outside and its parts inside."""
    root = ElementTree.fromstring(content)  # noqa: S314  # our own file
    turned = ElementTree.Element("score-timewise", root.attrib)
    for child in root:
        if child.tag != "part":
            turned.append(child)
    parts = root.findall("part")
    for row in zip(*(part.findall("measure") for part in parts), strict=True):
        measure = ElementTree.SubElement(turned, "measure", row[0].attrib)
        for part, inside in zip(parts, row, strict=True):
            ElementTree.SubElement(measure, "part", part.attrib).extend(list(inside))
    return ElementTree.tostring(turned)


@pytest.mark.parametrize("number", ["1", "5", "9"])
def test_a_timewise_file_is_the_same_score(number: str) -> None:
    content = write(resolve(number))
    assert read(timewise(content), "x") == read(content, "x")


def test_elements_with_a_namespace_are_read() -> None:
    content = document([note("A4", 8)]).decode()
    prefixed = re.sub(r"<(/?)([a-z])", r"<\1m:\2", content).replace(
        "<m:score-partwise", "<m:score-partwise xmlns:m='urn:x'", 1
    )
    assert sung(read(prefixed.encode(), "x")) == "A4@0+4"


def test_a_tuplet_of_eleven_is_exact() -> None:
    eleven = "<type>eighth</type><time-modification><actual-notes>11</actual-notes><normal-notes>8</normal-notes></time-modification>"
    measure = "".join(note("C4", 4, inside=eleven) for _ in range(11)) + "<forward><duration>0</duration></forward>"
    score = read(document([measure]).replace(b"<divisions>2<", b"<divisions>11<"), "x")
    assert [str(n.onset_quarters) for n in score.lines[0].notes][-1] == "40/11"
    assert score.end_quarters == 4
