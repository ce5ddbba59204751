"""Tables of eyes, good and bad."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.errors import FileError
from sightline.house import csv_eyes
from sightline.house.csv_eyes import read_eyes
from tests.house.venues import house_of

GOOD = "id,x_m,y_m,z_m\nE1,0,-5,1.2\nE2,1.5,-6e0,1.25\n"


@pytest.mark.parametrize(
    "raw",
    [
        GOOD.encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.rstrip().encode(),
        ("\n" + GOOD.replace("\nE2", "\n\n , , ,\nE2")).encode(),
        b'ID , X_m,y_m,z_m\n"E1", 0 ,"-5",1.2\nE2,1.5,-6,+1.25',
        b"z_m,y_m,x_m,id\n1.2,-5,0,E1\n1.25,-6,1.5,E2\n",
    ],
)
def test_good_tables(raw: bytes) -> None:
    places = read_eyes(raw, "eyes.csv")
    assert places.ids == ["E1", "E2"]
    np.testing.assert_allclose(places.positions_m, [[0, -5, 1.2], [1.5, -6, 1.25]])
    assert places.kinds == ["point", "point"]
    assert places.weights == [1.0, 1.0]


def test_kind_and_weight() -> None:
    places = read_eyes(b"id,x_m,y_m,z_m,kind,weight\na,0,0,1,seated,12\nb,1,0,1,,\n", "eyes.csv")
    assert places.kinds == ["seated", "point"]
    assert places.weights == [12.0, 1.0]


HEAD = b"id,x_m,y_m,z_m,kind,weight\n"


@pytest.mark.parametrize(
    ("raw", "line", "column", "words"),
    [
        (b"", 1, 1, "empty"),
        (b"\n\n", 1, 1, "empty"),
        (b"id,x_m,y_m,z_m\n", 1, 1, "no eye"),
        (b"id,x_m,y_m\nE1,0,0\n", 1, 1, "'z_m' is missing"),
        (b"E1,0,0,1\n", 1, 1, "must name the columns"),
        (b"id;x_m;y_m;z_m\nE1;0;0;1\n", 1, 1, "commas"),
        (b"id,x_m,y_m,z_m,colour\nE1,0,0,1,red\n", 1, 16, "no column"),
        (b"id,x_m,y_m,z_m,x_m\nE1,0,0,1,2\n", 1, 16, "twice"),
        (HEAD + b"E1,0,0,1,,\nE1,0,0,2,,\n", 3, 1, "first is in line 2"),
        (HEAD + b"E1,nan,0,1,,\n", 2, 4, "not a number"),
        (HEAD + b"E1,0,inf,1,,\n", 2, 6, "not a number"),
        (HEAD + b"E1,0,0,1_0,,\n", 2, 8, "not a number"),
        (HEAD + b"E1,0,0,0x10,,\n", 2, 8, "not a number"),
        (HEAD + b"E1,0,0,1 m,,\n", 2, 8, "not a number"),
        (HEAD + b"E1,0,,1,,\n", 2, 6, "not a number"),
        (HEAD + b"E1,1e6,0,1,,\n", 2, 4, "10 km"),
        (HEAD + b"E1,0,0,1,siting,\n", 2, 10, "no kind"),
        (HEAD + b"E1,0,0,1,,-1\n", 2, 11, "not a weight"),
        (HEAD + b"E1,0,0,1\n", 2, 1, "4 values"),
        (HEAD + b",0,0,1,,\n", 2, 1, "printable"),
        (HEAD + b"E\x071,0,0,1,,\n", 2, 1, "printable"),
        (HEAD + b'"E1,0,0,1,,\n', 2, 1, "cannot be read"),
        (HEAD + b'"E\n1",0,0,1,,\n', 2, 1, "one line"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", 1, 1, "not text"),
        (GOOD.encode("utf-16"), 1, 1, "not text"),
        (HEAD + b"\xff,0,0,1,,\n", 1, 1, "not text"),
    ],
)
def test_bad_tables_name_the_place(raw: bytes, line: int, column: int, words: str) -> None:
    with pytest.raises(FileError) as caught:
        read_eyes(raw, "eyes.csv")
    problem = caught.value.problems[0]
    assert (problem.place.file, problem.place.line, problem.place.column) == ("eyes.csv", line, column)
    assert words in problem.sentence


def test_all_faults_come_at_once_but_never_a_flood() -> None:
    with pytest.raises(FileError) as caught:
        read_eyes(HEAD + b"a,x,y,1,,\nb,0,0,1,wrong,\n", "eyes.csv")
    assert len(caught.value.problems) == 3
    with pytest.raises(FileError) as caught:
        read_eyes(HEAD + b"a,x,y,z,,\n" * 5000, "eyes.csv")
    assert len(caught.value.problems) == csv_eyes.MOST_PROBLEMS


def test_caps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_eyes, "MOST_EYES", 3)
    with pytest.raises(FileError, match="more than 3 eyes"):
        read_eyes(b"id,x_m,y_m,z_m\n" + b"".join(b"e%d,0,0,1\n" % i for i in range(4)), "eyes.csv")
    with pytest.raises(FileError, match="the most that is read"):
        read_eyes(b" " * (csv_eyes.MOST_BYTES + 1), "eyes.csv")


def test_a_cell_as_long_as_a_book_is_refused() -> None:
    with pytest.raises(FileError, match="cannot be read here"):
        read_eyes(HEAD + b"E" * 200_000 + b",0,0,1,,\n", "eyes.csv")


def test_a_venue_reads_its_table_and_single_eyes() -> None:
    files = {"eyes.csv": GOOD.encode()}
    assert [eye.id for eye in house_of("eyes: {csv: eyes.csv}", files).eyes] == ["E1", "E2"]
    both = house_of("eyes: [{csv: eyes.csv}, {id: cam, at: [0 m, -9 m, 2 m], kind: camera, pixels: 1920}]", files).eyes
    assert [eye.id for eye in both] == ["E1", "E2", "cam"]
    assert both[2].camera is not None
    assert both[2].camera.pixels == 1920
    assert both[2].camera.fov_rad is None
    assert both[0].floor_m is None
