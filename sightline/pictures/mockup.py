"""The mock-up to print, A4: sizes, tape and a plan of the room; the panels; then two eyes a page with what to expect."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.blocking.cautions import MOCKUP
from sightline.blocking.notation import distance, inches
from sightline.pictures import style
from sightline.pictures.asbuilt import draw_sizes
from sightline.pictures.camera import framing
from sightline.pictures.page import MARGIN_MM, PAGE_MM, Page
from sightline.pictures.panels import draw_panels
from sightline.pictures.planned import planned
from sightline.pictures.roomplan import draw_plan
from sightline.pictures.sheets import END_MM, TOP_MM, WIDE_MM, Sheets, paragraph
from sightline.pictures.view import View, picture_on, subject, view_of
from sightline.workshop.asbuiltsize import Size
from sightline.workshop.mockup import Mockup, Sleeve
from sightline.workshop.roomsheet import RoomSheet, shows
from sightline.workshop.roomspot import Spot
from sightline.workshop.roomtable import (
    SIDES,
    ahead_words,
    house_words,
    nearness_words,
    row,
    side_words,
    tilt_words,
    walls_m,
)

LEFT_MM = 100.0
PLAN_MM = (80.0, 100.0)
PICTURE_MM, PICTURE_PX = (118.0, 94.4), (640, 512)
EYES_TOP_MM, EYES_STEP_MM = 27.0, 126.0
TICK_MM = 5.0
# What seven cameras and how to set them up take.
CAMERAS_MM = 130.0


def draw_mockup(
    made: Mockup, sheet: RoomSheet, scene: str, sizes: Sequence[Size] = (), filled: str = ""
) -> list[Any]:  # fmt: skip
    """The pages as figures, each exactly A4; with `sizes` also those to measure afterwards, for the file `filled`."""
    sheets = Sheets(made.title, f"Mock-up, from {scene}", rests=planned(where="sightline mockup"))
    page = sheets.page("sizes and tape marks")
    scale = draw_plan(page, made, sheet, (PAGE_MM[0] - MARGIN_MM - PLAN_MM[0], TOP_MM), PLAN_MM)
    _sizes(sheets, page, made, sheet, scale)
    page, y = sheets.page("panels, and cameras"), TOP_MM
    if made.panels:
        y = draw_panels(page, made, TOP_MM, END_MM)
        if y > END_MM - CAMERAS_MM:
            page, y = sheets.page("cameras in the room"), TOP_MM
    _cameras(sheets, page, y + 3.0, sheet)
    there = [spot for spot in sheet.spots if spot.camera_m is not None]
    for first in range(0, len(there), 2):
        page = sheets.page("expected pictures")
        for k, spot in enumerate(there[first : first + 2]):
            _eye(page, sheet, spot, EYES_TOP_MM + k * EYES_STEP_MM)
    if sizes:
        draw_sizes(sheets, sizes, filled)
    return sheets.done()


def _size(value_m: float) -> str:
    return f"{value_m * 100:.1f} cm\n{inches(value_m)}"


def _line(value_m: float) -> str:
    return f"{value_m * 100:.1f} cm ({inches(value_m)})"


def _sizes(sheets: Sheets, page: Page, made: Mockup, sheet: RoomSheet, scale: int) -> None:
    """Cut list, sleeves and marks of tape, beside and below the plan."""
    y = TOP_MM + 3.0
    rows = []
    for panel in made.panels:
        holes = [
            f"{cut.name}: {cut.shape} {cut.across_m * 100:.1f}"
            + ("" if cut.shape == "round" else f" x {cut.up_m * 100:.1f}")
            + f" cm ({inches(cut.across_m)}{'' if cut.shape == 'round' else ' x ' + inches(cut.up_m)})"
            for cut in panel.cuts
        ]
        rows.append([panel.name, _size(panel.across_m), _size(panel.up_m), "\n".join(holes)])
    if rows:
        page, y = sheets.table(
            page, y, f"Cut from card of {made.card_m * 1000:g} mm", (("panel", 15), ("across", 20), ("up", 20), ("holes", 45)), rows
        )  # fmt: skip
        y = paragraph(page, y + 1.0, "Seen from outside; front and back are whole, the sides stand between them, top and "
                       "bottom lie within all four. The holes are on the next sheets.", LEFT_MM)  # fmt: skip
    for note in made.notes:
        y = paragraph(page, y + 1.0, f"! {note}", LEFT_MM, "bold")
    y = max(y + 8.0, TOP_MM + PLAN_MM[1] + 7.0)
    for sleeve in made.sleeves:
        page, y = _sleeve(sheets, page, sleeve, y)
        y += 8.0
    marks = [
        [mark.name, *(("-", "-", "-") if mark.name == "mark" else (
            ahead_words(mark.at_m[1]), side_words(mark.at_m[0]), distance(mark.at_m[2]))), mark.words]
        for mark in made.marks
    ]  # fmt: skip
    marks += [
        [f"knot {knot.letter}", ahead_words(float(knot.at_m[1])), side_words(float(knot.at_m[0])), distance(float(knot.at_m[2])),
         f"middle of {knot.secret}"]
        for knot in sheet.knots
    ]  # fmt: skip
    columns = (("tape", 39), ("from the mark", 38), ("to the side", 36), ("above the floor", 32), ("what it is", 41))
    page, y = sheets.table(page, y, "Tape and hang", columns, marks)
    said = f"{SIDES} Plan 1:{scale}. Tape each place on the floor; its height is plumb above the tape."
    page, y = sheets.text(page, y + 1.5, f"{said} The string is held at a knot.")
    sheets.text(page, y + 1.5, f"! {' '.join(MOCKUP)}", "bold")


def _sleeve(sheets: Sheets, page: Page, sleeve: Sleeve, y: float) -> tuple[Page, float]:
    rows = [[s.name, _line(s.along_m), _line(s.girth_m), _line(s.cut_m)] for s in sleeve.stations]
    head = f"Stuff a sleeve: {sleeve.name} ({sleeve.side} arm; bent {sleeve.bend_deg:.0f} deg from straight)"
    columns = (("at", 25), ("from the upper end", 41), ("girth, stuffed", 41), ("cut flat, with two 10 mm seams", 45))
    page, y = sheets.table(page, y, head, columns, rows)
    said = (
        f"Upper arm {_line(sleeve.upper_m)}, forearm {_line(sleeve.fore_m)}, hand {_line(sleeve.hand_m)} long and "
        f"{_line(sleeve.hand_girth_m)} round. Tie it at the elbow; bent right it is {_line(sleeve.straight_m)} straight from "
        f"shoulder to wrist. Hand {sleeve.hand_words}."
        f" It wears a {sleeve.side} glove: lay your own {sleeve.side} hand on it, the thumbs must match."
    )
    return page, paragraph(page, y + 1.0, said, WIDE_MM)


def _cameras(sheets: Sheets, page: Page, y: float, sheet: RoomSheet) -> None:
    """How to set the room up, and every eye in one table, with those that the room cannot hold."""
    page.say(MARGIN_MM, y, "How to try it", 9, weight="bold")
    steps = (
        f"1  Tape the mark {distance(sheet.mark_m[1])} from the wall behind the performer and {distance(sheet.mark_m[0])} from the "
        "wall at the performer's own right. The performer faces square to the wall ahead.",
        "2  Before the performer steps in, stand a stick with the knot at its height on the knot's place on the floor.",
        "3  Put the camera on its floor spot; draw the string from the knot to the lens and slide the stand until the string "
        "and the height are right. Aim the middle of the picture at the knot. Take stick and string away: people trip over them.",
        "4  Step in with card, sleeve and costume, make each move of the puppet, and tick what is seen. The picture shows "
        "the pose in which most shows; no other may show more.",
        "5  Write what shows and where it differs from the picture: a build that is off is cheaper to find in card than in the house.",
    )
    for step in steps:
        y = paragraph(page, y + 1.2, step, WIDE_MM)
    rows = []
    for spot in sheet.spots:
        cells = row(sheet, spot)
        first = [cells["no."], f"{spot.eye}\n{spot.chosen}", cells["in the venue"]]
        if spot.camera_m is None:
            rows.append([*first, "cannot be reproduced", spot.why_not or "", "", "", ""])
            continue
        rows.append(
            [*first, cells["expected"], f"{cells['ahead']}\n{cells['side']}", _stacked(cells["height"]),
             f"{spot.knot.letter}: {_stacked(cells['string'])}", f"{tilt_words(spot)}\n{spot.nearness_deg:.1f} deg"]
        )  # fmt: skip
    columns = (("no.", 7), ("eye", 27), ("in the venue", 26), ("expected", 22), ("camera on the floor", 43), ("lens height", 19),
               ("string from knot", 23), ("aim;\nnearness", 19))  # fmt: skip
    page, y = sheets.table(page, y + 8.0, "Cameras", columns, rows)
    for note in (SIDES, *sheet.notes):
        page, y = sheets.text(page, y + 1.2, note)


def _stacked(said: str) -> str:
    """Metres over feet, for a narrow cell."""
    return said.replace(" (", "\n").rstrip(")")


def _view(sheet: RoomSheet, spot: Spot) -> View:
    """What the camera has to show: aimed at the knot, wide enough for the act."""
    assert sheet.finding is not None
    assert spot.room is not None
    view = view_of(sheet.finding, spot.room)
    moment = sheet.finding.moment
    eye = np.array(moment.eyes[spot.room].position_m)
    # The knot in the frame of the moment: on from the eye, along the string.
    assert spot.camera_m is not None
    target = eye + sheet.turn.directions(spot.knot.at_m - spot.camera_m)
    return View(view.eye, view.pose, framing(eye, subject(moment, view.pose), PICTURE_PX, 1.1, target))


def _eye(page: Page, sheet: RoomSheet, spot: Spot, top: float) -> None:
    """One eye: the predicted picture, where its camera goes, and the boxes to tick."""
    assert sheet.finding is not None
    assert spot.camera_m is not None
    wide, tall = PICTURE_MM
    page.say(MARGIN_MM, top + 4.0, f"{spot.number}  {spot.eye}", 11, weight="bold", width_mm=80.0)
    expected = f"expected: {shows(spot.predicted).upper()}"
    page.say(MARGIN_MM + wide - page.width_mm(expected, 10, "bold"), top + 4.0, expected, 10, weight="bold")
    base = top + 7.0
    view = _view(sheet, spot)
    axes = page.figure.add_axes(
        (MARGIN_MM / PAGE_MM[0], 1 - (base + tall) / PAGE_MM[1], wide / PAGE_MM[0], tall / PAGE_MM[1])
    )
    picture_on(axes, sheet.finding, view, marked=spot.predicted != "hidden")
    # Just outside the picture, which lies over the page.
    frame_x, frame_y = [MARGIN_MM - 0.15, MARGIN_MM + wide + 0.15], [base - 0.15, base + tall + 0.15]
    page.line([frame_x[0], frame_x[1], frame_x[1], frame_x[0], frame_x[0]],
              [frame_y[0], frame_y[0], frame_y[1], frame_y[1], frame_y[0]], style.THIN)  # fmt: skip
    behind, right = walls_m(sheet, spot.camera_m)
    cells = row(sheet, spot)
    moment = sheet.finding.moment
    facts = [
        ("Camera on the floor", f"{cells['ahead']}\n{cells['side']}\n"
         f"({behind:.2f} m from the wall behind,\n{right:.2f} m from the wall at own right)"),
        ("Lens height", cells["height"]),
        (f"String from knot {spot.knot.letter}", cells["string"]),
        ("Aim", f"at knot {spot.knot.letter}, {tilt_words(spot)}; picture {np.degrees(view.camera.width_rad):.0f} deg across"),
        ("In the venue", f"{spot.chosen}: {house_words(spot)}, from {spot.venue_distance_m:.1f} m"),
        ("Nearness", nearness_words(spot)),
    ]  # fmt: skip
    if len(moment.poses) > 1:
        facts.append(("Pose in the picture", moment.poses[view.pose].name))
    x, y = MARGIN_MM + wide + 5.0, base
    room = PAGE_MM[0] - MARGIN_MM - x
    for name, said in facts:
        y += page.line_mm + 0.4
        page.say(x, y, name, page.text_pt, weight="bold")
        for line in page.lines_of(said, room):
            y += page.line_mm
            page.say(x, y, line, page.text_pt)
    _ticks(page, x, max(y + 3.5, base + tall - 27.0), room)


def _ticks(page: Page, x: float, y: float, room: float) -> None:
    # What the as-built sheet asks as well: what was seen, not whether it is as expected.
    for k, word in enumerate(("a secret shows", "none shows")):
        left = x + k * 36.0
        page.line([left, left + TICK_MM, left + TICK_MM, left, left], [y, y, y + TICK_MM, y + TICK_MM, y], style.MEDIUM)
        page.say(left + TICK_MM + 1.8, y + TICK_MM - 1.3, word, 9)
    page.say(x, y + 12.5, "where", 9)
    for k in range(3):
        page.line([x + (12.0 if k == 0 else 0.0), x + room], [y + 13.0 + 7.0 * k] * 2, style.THIN, style.QUIET)
