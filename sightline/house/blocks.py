"""Blocks of seats as eyes: where each row runs, how high it is, what each seat is called."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline, area
from sightline.house.people import EYE_HEIGHT_M
from sightline.house.places import Places
from sightline.house.rows import row_heights
from sightline.scene.seats import SeatBlock


@dataclass(frozen=True)
class Block:
    """One block worked out: the way its rows run and their floors.

    `middle` (2,) is the middle of the first row's line of eyes, `outward` and `rightward` unit vectors (2,) away
    from the stage and to the right of those who sit there; `radius_m` is the first row's, None when straight.
    """

    written: SeatBlock
    middle: FloatArray
    outward: FloatArray
    rightward: FloatArray
    radius_m: float | None
    floors_m: FloatArray
    eye_m: float

    def along(self, row: float, across_m: FloatArray) -> FloatArray:
        """Points (n, 2) on the line of a row (counted from 0; may be broken or negative) so far right of its middle."""
        back = row * self.written.row_spacing
        if self.radius_m is None:
            straight: FloatArray = self.middle + back * self.outward + np.outer(across_m, self.rightward)
            return straight
        radius = self.radius_m + back
        centre = self.middle - self.radius_m * self.outward
        turn = across_m / radius
        curved: FloatArray = centre + radius * (
            np.outer(np.cos(turn), self.outward) + np.outer(np.sin(turn), self.rightward)
        )
        return curved

    def across(self, row: int) -> FloatArray:
        """How far right of the middle each seat of a row is, m, from the left to the right."""
        block = self.written
        count = block.seats_in(row)
        gaps = np.zeros(count)
        for aisle in block.aisles:
            after = aisle.after[row if len(aisle.after) > 1 else 0]
            if 0 < after < count:
                gaps[after:] += aisle.width
        at = np.arange(count) * block.seat_width + gaps
        at -= (at[0] + at[-1]) / 2
        shift = block.seat_width / 2 if block.stagger and row % 2 else 0.0
        return np.asarray(at + shift, dtype=float)

    def half_widths_m(self) -> list[float]:
        """From the middle to the outer edge of the last seat, row by row."""
        rows = range(self.written.rows)
        return [float(np.abs(self.across(row)).max()) + self.written.seat_width / 2 for row in rows]


def work_out(written: SeatBlock, stage_height_m: float, edge: FloatArray | None) -> Block:
    """Place a block. `edge` is the outline of the stage (n, 2), whose near side is the focus of a C-value.

    Misfit for rows that cannot lie there.
    """
    outward = np.array([np.sin(written.bearing), -np.cos(written.bearing)])
    first = written.first_row
    middle = np.array(first) if len(first) == 2 else first[0] * outward
    radius: float | None = None
    if written.curve is not None:
        radius = written.curve.radius
        if written.curve.centre is not None:
            spoke = middle - np.array(written.curve.centre)
            radius = float(np.linalg.norm(spoke))
            if radius < 1e-6:
                raise Misfit(
                    ("curve", "centre"),
                    "The rows' centre is in the middle of the first row; they cannot curve round it.",
                )
            outward = spoke / radius
    rightward = np.array([-outward[1], outward[0]])
    floor = written.floor if written.floor is not None else -stage_height_m
    eye = written.eye_height if written.eye_height is not None else EYE_HEIGHT_M[written.eye_kind]
    bare = Block(written, middle, outward, rightward, radius, np.zeros(0), eye)
    if radius is not None:
        for row in range(written.rows):
            if float(np.ptp(bare.across(row))) + written.seat_width > 2 * np.pi * (radius + row * written.row_spacing):
                raise Misfit(
                    ("seats",),
                    f"Row {row + 1} is longer than the circle it lies on; fewer seats or a larger radius mend it.",
                )
    floors = floor + _rises(written, middle, outward, floor + eye, edge)
    return Block(written, middle, outward, rightward, radius, floors, eye)


def _rises(
    written: SeatBlock, middle: FloatArray, outward: FloatArray, eye_z: float, edge: FloatArray | None
) -> FloatArray:
    if written.steps is not None:
        return np.cumsum([0.0, *written.steps])
    if written.c_value is None:
        return np.arange(written.rows, dtype=float) * (written.rise or 0.0)
    focus_z = 0.0
    if written.focus is not None:
        distance = float((middle - np.array(written.focus[:2])) @ outward)
        focus_z = written.focus[2]
    else:
        distance = _to_edge(middle, outward, edge)
    if distance <= 0:
        raise Misfit(("focus",), "The focus of the C-value must be in front of the first row.")
    heights = row_heights(eye_z - focus_z, distance, written.row_spacing, written.c_value, written.rows, descend=False)
    return np.asarray(heights - heights[0])


def _to_edge(middle: FloatArray, outward: FloatArray, edge: FloatArray | None) -> float:
    """From the first row straight ahead to the stage edge, or to the level of the origin where there is none."""
    origin = float(middle @ outward)
    if edge is None:
        return origin
    a, b = edge - middle, np.roll(edge, -1, axis=0) - middle
    side_a, side_b = a @ [-outward[1], outward[0]], b @ [-outward[1], outward[0]]
    crossing = (side_a > 0) != (side_b > 0)
    if not crossing.any():
        return origin
    share = side_a[crossing] / (side_a[crossing] - side_b[crossing])
    ahead = -((a[crossing] + (b - a)[crossing] * share[:, None]) @ outward)
    return float(ahead[ahead > 0].min()) if np.any(ahead > 0) else origin


def row_labels(first: str, count: int, skipped: list[str]) -> list[str]:
    """Row letters from `first` on, leaving out `skipped`; after Z come AA, BB (common practice, no source)."""
    letters = [chr(c) for c in range(ord("A"), ord("Z") + 1) if chr(c) not in skipped]
    start = letters.index(first[0]) + (len(first) - 1) * len(letters)
    return [letters[i % len(letters)] * (i // len(letters) + 1) for i in range(start, start + count)]


def seat_numbers(count: int, numbers_from: str, first: int) -> list[str]:
    """Seat numbers from the left to the right of those who sit there.

    From the centre: odd numbers to the left, even ones to the right (from memory).
    """
    if numbers_from == "house left":
        return [str(first + i) for i in range(count)]
    if numbers_from == "house right":
        return [str(first + i) for i in reversed(range(count))]
    left = (count + 1) // 2
    return [str(2 * i + 1) for i in reversed(range(left))] + [str(2 * i + 2) for i in range(count - left)]


def eyes_of(block: Block) -> Places:
    """Every seat's eye. Misfit for a seat named in `wheelchair` or `without` that is not there."""
    written = block.written
    labels = row_labels(written.letters, written.rows, written.skip_letters)
    unused = {"wheelchair": set(written.wheelchair), "without": set(written.without)}
    chairs, gone = set(written.wheelchair), set(written.without)
    rows: list[str] = []
    seats: list[str] = []
    heights: list[float] = []
    kinds: list[str] = []
    points = []
    chair_m = written.eye_height if written.eye_height is not None else EYE_HEIGHT_M["wheelchair"]
    for row, label in enumerate(labels):
        numbers = seat_numbers(written.seats_in(row), written.numbers_from, written.first_number)
        here = [label + number for number in numbers]
        keep = [seat not in gone for seat in here]
        for names in unused.values():
            names.difference_update(here)
        points.append(block.along(row, block.across(row))[keep])
        for seat, number, kept in zip(here, numbers, keep, strict=True):
            if kept:
                rows.append(label)
                seats.append(number)
                chair = seat in chairs
                kinds.append("wheelchair" if chair else written.eye_kind)
                heights.append(float(block.floors_m[row]) + (chair_m if chair else block.eye_m))
    for key, names in unused.items():
        if names:
            name = min(names)
            index = (written.wheelchair if key == "wheelchair" else written.without).index(name)
            last = seat_numbers(written.seats_in(0), written.numbers_from, written.first_number)
            raise Misfit(
                (key, index),
                f"There is no seat {name} in '{written.block}': its rows are {labels[0]} to {labels[-1]}, and row "
                f"{labels[0]} has seats {last[0]} to {last[-1]}.",
            )
    at = {label: float(floor) for label, floor in zip(labels, block.floors_m, strict=True)}
    return Places(
        ids=[f"{written.block} {row}{seat}" for row, seat in zip(rows, seats, strict=True)],
        kinds=kinds,
        positions_m=np.column_stack([np.concatenate(points), heights]),
        weights=[written.weight] * len(rows),
        level=written.level_name,
        rows=rows,
        seats=seats,
        floors_m=np.array([at[row] for row in rows]),
    )


def outlines_of(block: Block) -> list[Outline]:
    """The aisles as areas."""
    written = block.written
    out = []
    for number, aisle in enumerate(written.aisles, 1):
        left, right = [], []
        for row in range(written.rows):
            across = block.across(row)
            after = aisle.after[row if len(aisle.after) > 1 else 0]
            if not 0 < after < len(across):
                continue
            edges = np.array([across[after - 1] + written.seat_width / 2, across[after] - written.seat_width / 2])
            for share in (row - 0.5, row + 0.5):
                pair = block.along(share, edges)
                left.append(pair[0])
                right.append(pair[1])
        if left:
            out.append(area(f"{written.block} aisle {number}", "aisle", [*left, *right[::-1]]))
    return out
