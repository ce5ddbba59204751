"""The body sheet against ANSUR II and its own promises.

Source of the figures: references.md section 4, worked out from the public ANSUR II data file. Tolerances: 0.5 mm for means
and definitions (they are printed to 0.01 mm from rounded ratios), 0.1 mm for residual sds, a fifth of a standard
deviation for percentiles, which are of a sample that is not quite Gauss's (1.96 sd in place of 1.645 would fail).
"""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from sightline.blocking.notation import inches
from sightline.cli.main import app
from sightline.errors import SightlineError
from sightline.figure.measures import MEASURES
from sightline.figure.sheet import body_sheet
from sightline.figure.tables import ANSUR, ANSUR_ON_STATURE, ANSUR_WITH_STATURE, Sex
from sightline.scene.reading import scene_from_text
from sightline.workshop.bodysheet import SPREAD_OF, definitions, known_measure, sheet_of, spread_at, template

MEAN_M, RESIDUAL_M, PERCENTILE_SD = 0.0005, 0.0001, 0.2
MALE_MEAN_STATURE_M = 1.75621
# P5 and P95, m, ANSUR II.
PUBLISHED_PERCENTILES = {
    "male": {"biceps_girth_m": (0.303, 0.418), "wrist_girth_m": (0.162, 0.191), "hand_length_m": (0.177, 0.210)},
    "female": {"biceps_girth_m": (0.259, 0.360), "hand_breadth_m": (0.072, 0.085), "forearm_girth_m": (0.235, 0.296)},
}


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["body", *words])


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("key", ["shoulderelbowlength", "forearmhandlength"])
def test_residual_sd_follows_from_the_correlation(sex: Sex, key: str) -> None:
    """sd sqrt(1 - r^2) is the residual sd that was published beside the line itself."""
    worked_out = ANSUR[sex][key].sd * (1 - ANSUR_WITH_STATURE[sex][key] ** 2) ** 0.5
    assert worked_out == pytest.approx(ANSUR_ON_STATURE[sex][key].residual_sd_m, abs=RESIDUAL_M)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_ranges_are_the_published_percentiles(sex: Sex) -> None:
    sheet = sheet_of(body_sheet(stature_m=1.7, sex=sex), {}, None)
    for row in sheet.rows:
        if row.name in PUBLISHED_PERCENTILES[sex]:
            low, high = PUBLISHED_PERCENTILES[sex][row.name]
            within = PERCENTILE_SD * ANSUR[sex][SPREAD_OF[row.name]].sd
            assert row.low == pytest.approx(low, abs=within), row.name
            assert row.high == pytest.approx(high, abs=within), row.name
            assert row.of == "of any stature"


def test_a_range_of_one_stature_is_narrower_than_of_all() -> None:
    for name in ("shoulder_height_m", "biacromial_m"):
        _, sd, of = spread_at(name, "male", 1.9)
        assert of == "of that stature"
        assert sd < ANSUR["male"][SPREAD_OF[name]].sd


def test_definitions_at_the_mean_stature() -> None:
    """ANSUR II men: .259 H = 455 mm; 415.7; 510.4. Arms 772.7 (joints), 796.4 (landmarks), 843.9 (elbow twice): 9 %."""
    found = [d.value_m for d in definitions("male", MALE_MEAN_STATURE_M)]
    expected = [0.4549, 0.41568, 0.51042, 0.7727, 0.7964, 0.8439, 0.36371, 0.48021]
    assert found == pytest.approx(expected, abs=MEAN_M)
    arms = found[3:6]
    assert max(arms) / min(arms) - 1 == pytest.approx(0.09, abs=0.005)


def test_measured_replaces_estimated() -> None:
    sheet = sheet_of(body_sheet(stature_m=1.72, sex="female", measured={"biceps": 0.31}), {"biceps": 0.31}, None)
    row = next(row for row in sheet.rows if row.measure == "biceps")
    assert (row.value, row.state, row.source) == (0.31, "measured", "given")
    assert all(row.source for row in sheet.rows)
    assert not sheet.warnings


@pytest.mark.parametrize(("off_sd", "warned"), [(3.9, False), (4.1, True), (-4.1, True)])
def test_a_slip_warns_at_four_sd(off_sd: float, warned: bool) -> None:
    mean, sd, _ = spread_at("shoulder_height_m", "female", 1.65)
    taped = {"shoulder_height": mean + off_sd * sd}
    sheet = sheet_of(body_sheet(stature_m=1.65, sex="female", measured=taped), taped, None)
    assert bool(sheet.warnings) is warned


def test_a_child_has_no_spread_of_grown_people() -> None:
    sheet = sheet_of(body_sheet(age_years=9.0, sex="female"), {}, None)
    assert all(row.low is None and row.of is None for row in sheet.rows)
    assert not sheet.definitions


@pytest.mark.parametrize(
    ("metres", "said"), [(0.3048, "12 in"), (0.0, "0 in"), (0.00635, "1/4 in"), (0.36, "14 1/8 in")]
)
def test_inches_as_a_tape_reads(metres: float, said: str) -> None:
    assert inches(metres) == said


def test_names_however_spelt() -> None:
    assert known_measure(" Hand girth") == "hand_girth"
    with pytest.raises(SightlineError, match="did you mean hand breadth"):
        known_measure("hand bredth")
    with pytest.raises(SightlineError, match="did you mean biceps"):
        known_measure("bicep")


def test_the_filled_template_is_a_scenes_block() -> None:
    """Every line with its # taken away reads, and sets its measure."""
    text = template(body_sheet(stature_m=1.7, sex="male"))
    block = "\n".join("    " + line.replace("# ", "", 1).strip() for line in text.splitlines()[2:])
    scene = scene_from_text(
        f"version: 1\nperformer:\n  sex: male\n  measured:\n{block}\nsecrets: [{{name: a, disc: {{radius: 1 cm}}}}]\n"
        "eyes: [{id: E, at: [0 m, -2 m, 1 m]}]\n",
        folder=Path("."),
    )
    assert scene.model.performer is not None
    assert {key.replace(" ", "_") for key in scene.model.performer.measured} == set(MEASURES)


def test_the_command_prints_all_three_ways(tmp_path: Path) -> None:
    out = tmp_path / "body.csv"
    words = ("--stature", "172 cm", "--sex", "female", "--measured", "biceps=31 cm", "--mass", "64 kg")
    done = run(*words, "--json", "--out", str(out))
    document = json.loads(done.stdout)
    biceps = next(size for size in document["sizes"] if size["measure"] == "biceps")
    assert (biceps["value"], biceps["state"], biceps["unit"]) == (0.31, "measured", "m")
    rows = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == len(document["sizes"]) == 46
    assert "12 1/4 in  measured" in run(*words).stdout
    assert "--force" in str(run(*words, "--out", str(out)).exception)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "Say how tall"),
        (("--age", "30"), "Say how tall"),
        (("--stature", "172"), "--stature: '172' has no unit"),
        (("--stature", "-172 cm"), "more than nothing"),
        (("--stature", "172 m"), "must be 0.5 to 2.5 m"),
        (("--stature", "172 cm", "--mass", "-3 kg"), "--mass: '-3 kg'"),
        (("--stature", "172 cm", "--measured", "bicep=31 cm"), "did you mean biceps"),
        (("--stature", "172 cm", "--measured", "biceps 31 cm"), "no equals sign"),
        (("--stature", "172 cm", "--measured", "biceps=31 m"), "plausible"),
        (("--stature", "172 cm", "--age", "nan"), "--age"),
        (("--stature", "172 cm", "--out", "body.txt"), ".csv"),
        (("--scene", "nowhere.yaml"), "is not there"),
    ],
)
def test_a_slip_is_told(words: tuple[str, ...], said: str) -> None:
    done = run(*words)
    assert isinstance(done.exception, SightlineError), done.exception
    assert said in str(done.exception)


def test_wrong_words_are_wrong_usage() -> None:
    assert run("--stature", "172 cm", "--sex", "neither").exit_code == 2
    assert run("--stature", "172 cm", "--proportions", "mine").exit_code == 2


def test_one_measured_size_is_one() -> None:
    one = sheet_of(body_sheet(stature_m=1.72), {}, None)
    assert one.notes[0].startswith("1 of 46 sizes is measured;")
