"""Files made to harm or hang: each is refused with one sentence, soon, and touches nothing outside itself."""

from __future__ import annotations

import io
import os
import struct
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from trainer.errors import ScoreError
from trainer.formats import LARGEST_BYTES, read_path, write_path
from trainer.formats.mxl import write as packed
from trainer.library import resolve

CONTAINER = "META-INF/container.xml"


@pytest.fixture(autouse=True)
def soon() -> Iterator[None]:
    """Nobody waits more than a few seconds for a refusal (process time, so a busy machine does not matter)."""
    before = time.process_time()
    yield
    assert time.process_time() - before < 6


def refused(path: Path | str) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        read_path(path)
    assert caught.value.exit_status == 4
    assert caught.value.do
    return caught.value


def archive(**members: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name, content in members.items():
            target.writestr(name, content)
    return out.getvalue()


def container(full_path: str) -> bytes:
    return f'<container><rootfiles><rootfile full-path="{full_path}"/></rootfiles></container>'.encode()


def saved(tmp_path: Path, name: str, content: bytes) -> Path:
    path = tmp_path / name
    path.write_bytes(content)
    return path


def test_an_entity_bomb_is_refused(tmp_path: Path) -> None:
    # the "billion laughs" of the XML literature: ten entities, each ten times the one before
    entities = '<!ENTITY a0 "ha">' + "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    text = f"<!DOCTYPE score-partwise [{entities}]><score-partwise><work><work-title>&a9;</work-title></work></score-partwise>"
    assert "entities" in refused(saved(tmp_path, "a.musicxml", text.encode())).what


def test_an_entity_that_reads_a_file_is_refused(tmp_path: Path) -> None:
    secret = saved(tmp_path, "secret", b"tide tables")
    text = (
        f'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "{secret.as_uri()}">]>'
        "<score-partwise><work><work-title>&x;</work-title></work></score-partwise>"
    )
    err = refused(saved(tmp_path, "a.xml", text.encode()))
    assert "entities" in err.what
    assert "tide" not in str(err)


def test_the_ordinary_document_type_is_no_reason_to_refuse(tmp_path: Path) -> None:
    write_path(resolve("1"), tmp_path / "a.musicxml")
    assert b"<!DOCTYPE" in (tmp_path / "a.musicxml").read_bytes()
    assert len(read_path(tmp_path / "a.musicxml").lines) == 4


def test_a_zip_bomb_is_refused_while_it_unpacks(tmp_path: Path) -> None:
    bomb = archive(**{CONTAINER: container("a.xml"), "a.xml": b" " * 300_000_000})
    assert len(bomb) < 1_000_000
    assert "once unpacked" in refused(saved(tmp_path, "a.mxl", bomb)).what


def test_a_zip_that_lies_about_its_size_is_refused(tmp_path: Path) -> None:
    content = bytearray(archive(**{CONTAINER: container("a.xml"), "a.xml": b" " * 20_000_000}))
    at = content.rfind(b"PK\x01\x02")
    struct.pack_into("<L", content, at + 24, 10)  # the directory now says 10 bytes
    refused(saved(tmp_path, "a.mxl", bytes(content)))


def test_a_container_of_endless_text_is_refused(tmp_path: Path) -> None:
    content = archive(**{CONTAINER: container("a.xml") + b" " * 50_000_000, "a.xml": b"<score-partwise/>"})
    assert "once unpacked" in refused(saved(tmp_path, "a.mxl", content)).what


@pytest.mark.parametrize("inside", ["../../secret.xml", "/etc/passwd", "..\\secret.xml", "missing.xml", ""])
def test_a_container_points_nowhere_but_inside(tmp_path: Path, inside: str) -> None:
    folder = tmp_path / "a" / "b"
    folder.mkdir(parents=True)
    saved(tmp_path, "secret.xml", b"<score-partwise/>")
    err = refused(saved(folder, "a.mxl", archive(**{CONTAINER: container(inside), "score.xml": b"<score-partwise/>"})))
    assert "holds no" in err.what or "does not say" in err.what


def test_reading_an_archive_writes_no_file(tmp_path: Path) -> None:
    content = archive(**{CONTAINER: container("../x.xml"), "../x.xml": b"<score-partwise/>", "/y.xml": b""})
    path = saved(tmp_path, "a.mxl", content)
    refused(path)
    assert list(tmp_path.iterdir()) == [path]
    assert not (tmp_path.parent / "x.xml").exists()


def test_a_packed_file_without_a_container_or_with_a_password_is_refused(tmp_path: Path) -> None:
    assert (
        "holds no 'META-INF" in refused(saved(tmp_path, "a.mxl", archive(**{"score.xml": b"<score-partwise/>"}))).what
    )
    locked = bytearray(packed(resolve("1")))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = locked.find(mark)
        while at >= 0:
            locked[at + offset] |= 1
            at = locked.find(mark, at + 4)
    assert "broken" in refused(saved(tmp_path, "b.mxl", bytes(locked))).what


def test_a_packed_file_with_a_wrong_sum_is_refused(tmp_path: Path) -> None:
    content = bytearray(packed(resolve("1")))
    content[len(content) // 2] ^= 0xFF
    refused(saved(tmp_path, "a.mxl", bytes(content)))


def test_deep_nesting_is_refused_without_a_crash(tmp_path: Path) -> None:
    refused(saved(tmp_path, "a.xml", b"<score-partwise>" + b"<part>" * 1_000_000))
    closed = b"<score-partwise>" + b"<part>" * 200_000 + b"</part>" * 200_000 + b"</score-partwise>"
    refused(saved(tmp_path, "b.xml", closed))


@pytest.mark.parametrize("name", ["a.musicxml", "a.mid", "a.drill", "a.mxl"])
def test_a_file_that_is_too_large_is_refused_by_its_size(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    with path.open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)
    assert "larger than 16 MB" in refused(path).what


@pytest.mark.parametrize("name", ["a.musicxml", "a.mid", "a.drill", "a.mxl"])
def test_an_empty_file_and_one_of_zeros_are_refused(tmp_path: Path, name: str) -> None:
    assert refused(saved(tmp_path, name, b"")).what == "the file is empty"
    refused(saved(tmp_path, name, bytes(100_000)))


@pytest.mark.parametrize("declared", ["utf-7", "windows-1252x", "utf-32", "cp037", "shift_jis", "big5"])
def test_an_encoding_that_cannot_be_read_is_said_so(tmp_path: Path, declared: str) -> None:
    content = f'<?xml version="1.0" encoding="{declared}"?><score-partwise/>'.encode()
    refused(saved(tmp_path, "a.xml", content))


@pytest.mark.parametrize(
    "measure",
    [
        "",
        "<attributes><divisions>1e999</divisions></attributes>",
        "<attributes><divisions>999999999999999999</divisions></attributes>",
        "<attributes><time><beats>1/0</beats><beat-type>0</beat-type></time></attributes>",
        "<attributes><key><fifths>9999</fifths></key></attributes>",
        "<barline><repeat direction='backward' times='100000000'/></barline>",
        "<forward><duration>999999999</duration></forward>",
    ],
)
def test_numbers_out_of_all_measure_are_refused(tmp_path: Path, measure: str) -> None:
    text = f"<score-partwise><part><measure>{measure}</measure></part></score-partwise>"
    refused(saved(tmp_path, "a.xml", text.encode()))


@pytest.mark.parametrize("text", ["<score-partwise/>", "<opus/>", "<score-timewise><measure/></score-timewise>"])
def test_xml_without_music_is_refused(tmp_path: Path, text: str) -> None:
    refused(saved(tmp_path, "a.xml", text.encode()))


def test_a_drill_that_asks_for_a_million_bars_is_refused(tmp_path: Path) -> None:
    assert "at most 5000" in refused(saved(tmp_path, "a.drill", b"alto |" + b" A4 |" * 1_000_000)).do
    refused(saved(tmp_path, "b.drill", b"meter: 1/32, 64/1 from bar 4999\nalto | A4 |\npickup: 1"))


def test_a_folder_a_pipe_and_a_device_are_not_scores(tmp_path: Path) -> None:
    refused(tmp_path)
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.drill")
        assert refused(tmp_path / "pipe.drill").what == "that is not a file"
    if Path("/dev/zero").exists():
        assert refused("/dev/zero").what == "that is not a file"


@pytest.mark.parametrize(
    "path", ["", "no such file.drill", "a\x00b.drill", "x" * 5000 + ".mid", "no/such/folder/a.mid"]
)
def test_a_path_that_leads_nowhere_is_refused(path: str) -> None:
    refused(path)


@pytest.mark.parametrize("path", ["no/such/folder/a.mid", "a.txt", "a", "a\x00b.drill"])
def test_a_path_that_cannot_be_written_is_refused(tmp_path: Path, path: str) -> None:
    with pytest.raises(ScoreError) as caught:
        write_path(resolve("1"), f"{tmp_path}/{path}")
    assert caught.value.do
    assert list(tmp_path.iterdir()) == []


def test_an_unreadable_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_yours(path: str, flags: int) -> int:
        raise PermissionError(13, "Permission denied", path)

    # the super user may read everything, so the system's answer is given by hand
    monkeypatch.setattr("trainer.formats._without_waiting", not_yours)
    assert refused(saved(tmp_path, "a.drill", b"alto | A4 |")).what == "the file cannot be opened: permission denied"


ABC = b"X:1\nM:4/4\nL:1/4\nK:C\n"
KERN = b"**kern\n*M4/4\n"


@pytest.mark.parametrize(
    ("name", "content", "what"),
    [
        ("a.krn", KERN + b"4c\n" * 330_000 + b"*-\n", "longer than any meter"),
        ("a.krn", KERN + b"1c\n=\n" * 6000 + b"*-\n", "more than 5000 measures"),
        ("a.krn", KERN + b"4c" + b" 4c" * 200_000 + b"\n*-\n", "200001 voices"),
        ("a.krn", b"**kern\t" * 100_000, "not every spine"),
        (
            "a.krn",
            KERN + b"*>[" + b"A," * 200_000 + b"A]\n*>A\n" + b"1c\n=\n" * 4000 + b"*-\n",
            "more than 5000 measures",
        ),
        ("a.krn", KERN + b"1c\n" * 400_000, "larger than 1000 kB"),
        ("a.abc", ABC + b"c" * 900_000, "longer than any meter"),
        ("a.abc", ABC + b"c4|" * 6000, "more than 5000 bars"),
        ("a.abc", ABC + b"c&" * 400_000, "laid over one another"),
        ("a.abc", ABC + b"".join(b"V:%d\nc4|\n" % number for number in range(50_000)), "more than 64 voices"),
        ("a.abc", b"X:1\nP:" + b"A" * 4999 + b"\nM:4/4\nL:1/4\nK:C\nP:A\n" + b"c4|" * 4000, "more than 5000 bars"),
        ("a.abc", ABC + b"[" * 900_000, "no music"),
        ("a.abc", ABC + b"c4" + b":" * 20_000 + b"|", "more than 5000 measures"),
    ],
)
def test_endless_kern_and_abc_are_refused_at_once(tmp_path: Path, name: str, content: bytes, what: str) -> None:
    assert what in refused(saved(tmp_path, name, content)).what


def test_endless_words_under_abc_do_no_harm(tmp_path: Path) -> None:
    content = ABC + b"c4|" * 4000 + b"\nw:" + b"\\-" * 300_000
    assert len(read_path(saved(tmp_path, "a.abc", content)).lines[0].notes) == 4000


@pytest.mark.parametrize("name", ["a.krn", "a.abc"])
def test_zeros_and_words_are_no_kern_and_no_abc(tmp_path: Path, name: str) -> None:
    refused(saved(tmp_path, name, bytes(100_000)))
    refused(saved(tmp_path, name, b"low water at the lock\n" * 100))
    refused(saved(tmp_path, name, "\ufeff".encode("utf-16-le") + b"\x00\xd8"))


@pytest.mark.parametrize("ending", [".musicxml", ".mid", ".drill", ".krn", ".abc"])
def test_twelve_parts_are_refused_with_their_number(tmp_path: Path, ending: str) -> None:
    parts = {
        ".musicxml": "<score-partwise>" + "".join(f'<part id="P{n}"><measure number="1"><note><pitch><step>A</step><octave>4</octave>'
                     "</pitch><duration>4</duration></note></measure></part>" for n in range(12)) + "</score-partwise>",
        ".drill": "".join(f"v{n} | A4 |\n" for n in range(12)),
        ".krn": "\n".join("\t".join([word] * 12) for word in ("**kern", "*M4/4", "1a", "*-")),
        ".abc": ABC.decode() + "".join(f"V:{n}\nA4|\n" for n in range(12)),
    }  # fmt: skip
    track = b"\x00\x90\x45\x50\x83\x60\x80\x45\x00\x00\xff\x2f\x00"
    midi = b"MThd" + struct.pack(">LHHH", 6, 1, 12, 480) + (b"MTrk" + struct.pack(">L", len(track)) + track) * 12
    content = midi if ending == ".mid" else parts[ending].encode()
    assert "12 voices, and heldline takes up to 8" in refused(saved(tmp_path, f"a{ending}", content)).what


def test_four_hundred_bars_are_read(tmp_path: Path) -> None:
    for name, content in (
        ("a.krn", KERN + b"2c\n2d\n=\n" * 400 + b"*-\n"),
        ("a.abc", ABC + b"c2d2|" * 400),
        ("a.drill", b"alto |" + b" C4 D |" * 400),
    ):
        assert len(read_path(saved(tmp_path, name, content)).bars().bars) == 400


def test_a_thousand_changes_of_meter_key_and_tempo_cost_no_more_than_their_bars(tmp_path: Path) -> None:
    """Once each change laid out all bars before it again: five thousand took hours, and the time limit of this test is the assertion."""
    meters = ", ".join(["4/4", *(f"{3 + k % 2}/4 from bar {k}" for k in range(2, 4900))])
    keys = ", ".join(["1 sharp", *(f"{1 + k % 2} sharps from bar {k}" for k in range(2, 4900))])
    text = f"title: Restless\nmeter: {meters}\nkey: {keys}\n\nalto | A4 |" + " A |" * 4900
    score = read_path(saved(tmp_path, "a.drill", text.encode()))
    assert (len(score.meters), len(score.keys)) == (4899, 4899)
    assert score.bars().bars[4899 - 1].number == 4899


def test_more_bars_than_drill_text_holds_are_refused_from_any_notation(tmp_path: Path) -> None:
    time = "<attributes><divisions>8</divisions><time><beats>1</beats><beat-type>32</beat-type></time></attributes>"
    short, long = "<step>A</step><octave>4</octave>", "<step>C</step><octave>4</octave>"
    notes = [f"<pitch>{short}</pitch><duration>1</duration>", f"<pitch>{long}</pitch><duration>5100</duration>"]
    text = f"<score-partwise><part><measure>{time}<note>{notes[0]}</note><note><chord/>{notes[1]}</note></measure></part></score-partwise>"
    assert "at most 5000" in refused(saved(tmp_path, "a.xml", text.encode())).do
