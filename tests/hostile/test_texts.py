"""Letters and digits that look like others, numbers too large or too small, bytes that are no text, other ends of lines."""

from __future__ import annotations

from pathlib import Path

import pytest

from sightline.scene.editing import quoted
from tests.hostile.conftest import Run, refused
from tests.hostile.seeds import ACT

LOOKALIKES = {
    "a Cyrillic letter in a key": (ACT.replace("secrets:", "ѕecrets:"), "did you mean 'secrets'"),
    "a wide letter in a key": (ACT.replace("secrets:", "ｓecrets:"), "did you mean 'secrets'"),
    "a Cyrillic letter in a unit": (ACT.replace("10 cm", "10 сm"), "has no unit"),
    "wide digits": (ACT.replace("10 cm", "１０ cm"), "is not a length"),
    "Arabic digits": (ACT.replace("10 cm", "١٠ cm"), "is not a length"),
    "a Bengali four, which looks like 8": (ACT.replace("10 cm", "৪ cm"), "is not a length"),
    "a mathematical digit": (ACT.replace("10 cm", "𝟏𝟎 cm"), "is not a length"),
    "a wide digit in a count": (ACT + "require: {seen: ０}\n", "not a plain number"),
    "a dotless i": (ACT.replace("title:", "tıtle:"), "did you mean 'title'"),
    "the version": (ACT.replace("version: 1", "version: １"), "not known here"),
    "an invisible space in a number": (ACT.replace("10 cm", "1\u200b0 cm"), "has no unit"),
    "a choice": (ACT.replace("name: target", "name: target, kind: lіmb"), "did you mean 'limb'"),
    "an eye that is aimed at": (ACT.replace("facing: 10 deg", "aim at: Е1"), "There is no eye"),
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKALIKES)
def test_look_alikes_are_no_keys_units_or_numbers(name: str, sandbox: Path, command: Run) -> None:
    text, says = LOOKALIKES[name]
    (sandbox / "s.yaml").write_text(text, encoding="utf-8")
    refused(command("check", "s.yaml", "--json"), says)


@pytest.mark.parametrize("cell", ["１", "١", "1\u200b", "1e999", "1" * 400, "0x1", "nan", "inf", "1_0"])
def test_numbers_in_tables(cell: str, sandbox: Path, command: Run) -> None:
    (sandbox / "e.csv").write_text(f"id,x_m,y_m,z_m\na,{cell},-5,1\n", encoding="utf-8")
    (sandbox / "s.yaml").write_text(
        ACT.replace("eyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]", "eyes: [{csv: e.csv}]"), encoding="utf-8"
    )
    refused(command("check", "s.yaml", "--json"), "is not a number" if cell != "1e999" else "number")


SIZES = [
    "1e308 cm",
    "1e-320 cm",
    "9" * 400 + " cm",
    "0." + "0" * 400 + "1 cm",
    "-1 cm",
    "1/0 in",
    "1" + " " * 90_000 + "x",
    "5 ft" * 9000,
]


@pytest.mark.parametrize("said", SIZES, ids=lambda said: said[:12])
def test_huge_and_tiny_numbers(said: str, sandbox: Path, command: Run) -> None:
    (sandbox / "s.yaml").write_text(ACT.replace("10 cm", quoted(said)), encoding="utf-8")
    refused(command("check", "s.yaml", "--json", seconds=5))


ENCODED = {
    "latin-1": ACT.replace("An act", "Fête").encode("latin-1"), "UTF-16 with a mark": ACT.encode("utf-16"),
    "UTF-32": ACT.encode("utf-32"), "NUL": ACT.replace("An act", "An\0act").encode(), "half a letter": ACT.encode() + b"# \xe2\x82",
    "surrogates": ACT.encode() + b"# \xed\xa0\x80", "overlong": ACT.encode() + b"# \xc0\xaf",
}  # fmt: skip


@pytest.mark.parametrize("name", ENCODED)
def test_bytes_that_are_no_text(name: str, sandbox: Path, command: Run) -> None:
    (sandbox / "s.yaml").write_bytes(ENCODED[name])
    refused(command("check", "s.yaml", "--json"), "not a text file")
    (sandbox / "e.csv").write_bytes(b"id,x_m,y_m,z_m\n" + ENCODED[name] + b",0,0,0\n")
    (sandbox / "t.yaml").write_text(
        ACT.replace("eyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]", "eyes: [{csv: e.csv}]"), encoding="utf-8"
    )
    refused(command("check", "t.yaml", "--json"), "UTF-8")


@pytest.mark.parametrize("text", [ACT.replace("\n", "\r\n"), ACT.replace("\n", "\r"), "\ufeff" + ACT, "\ufeff" + ACT.replace("\n", "\r\n")],
                         ids=["CRLF", "CR", "BOM", "BOM and CRLF"])  # fmt: skip
def test_other_ends_of_lines_and_a_mark_are_the_same_scene(text: str, sandbox: Path, command: Run) -> None:
    plain = command("check", "act.yaml", "--no-margins", "--json").out
    (sandbox / "s.yaml").write_text(text, encoding="utf-8", newline="")
    assert command("check", "s.yaml", "--no-margins", "--json").out.replace("s.yaml", "act.yaml") == plain
