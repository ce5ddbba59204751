"""What `sightline pattern` says: the readable report, and the JSON document."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sightline.pattern.cutlist import CutRow
    from sightline.pattern.made import Made
    from sightline.pattern.piece import Strain


def pattern_words(made: Made) -> Iterator[str]:
    """All of it for a person at a terminal."""
    from sightline.blocking.notation import millimetres
    from sightline.cli.say import closing
    from sightline.pattern.cautions import CAUTIONS
    from sightline.pattern.made import whole_strain

    pattern, cuts, layout = made.pattern, made.cuts, made.layout
    foam, whole = pattern.foam, whole_strain(pattern.pieces)
    yield f"{pattern.title}: pattern of '{pattern.limb}'"
    yield ""
    yield (
        f"  {foam.material}, {millimetres(foam.thickness_m)} thick; the limb of the scene is its {foam.skin}. {len(pattern.pieces)} "
        f"piece{'s' if len(pattern.pieces) != 1 else ''}, {cuts.mass_kg * 1000:.0f} g of foam."
    )
    yield ""
    yield "  Pieces, and how far each is stretched where it lies flat (rms, 95 of 100, most)"
    for row, piece in zip(cuts.pieces, pattern.pieces, strict=True):
        yield f"    {_piece_words(row, piece.strain, foam.limit)}"
    yield (
        f"    together: rms {_percent(whole.rms)}, 95 of 100 below {_percent(whole.p95)}, 99 below {_percent(whole.p99)}, most "
        f"{_percent(whole.largest)}; the foam takes {_percent(foam.limit)}"
    )
    yield ""
    yield from _seams(made)
    yield ""
    count = f"{layout.sheets} sheet{'s' if layout.sheets != 1 else ''} of {layout.stock.name}"
    yield f"  Sheets: {count}, {layout.gap_m * 1000:g} mm between pieces, {layout.used * 100:.0f} % used"
    for bought in cuts.bought:
        mass = "" if bought.mass_kg is None else f", {bought.mass_kg * 1000:.0f} g"
        money = f" {cuts.currency}" if cuts.currency else ""
        cost = "" if bought.cost is None else f", {bought.cost:.2f}{money} ({bought.cost_how})"
        yield f"    {bought.name}: {bought.quantity}{mass}{cost}"
    yield f"  Glue: {cuts.glue_m * 100:.0f} cm of seam, {cuts.glue_m2 * 1e4:.0f} cm2 on both faces"
    yield ""
    yield "  Assembly"
    yield from (f"    {step.number}. {step.words}" for step in made.assembly.steps)
    if made.assembly.trapped:
        yield "    ! No order lets a hand reach every seam from inside."
    yield ""
    yield "  Cautions:"
    yield from (f"    ! {said}" for said in CAUTIONS)
    yield ""
    yield from closing(made.assumptions, made.not_checked)


def _piece_words(row: CutRow, strain: Strain, limit: float) -> str:
    over = f"; {strain.over * 100:.1f} % of it over {_percent(limit)}" if strain.over > 0.0005 else ""
    sheet = "" if row.sheet is None else f", sheet {row.sheet}"
    return (
        f"{row.number} of {row.of} {row.name}: {row.width_m * 100:.1f} x {row.height_m * 100:.1f} cm{sheet}; rms {_percent(strain.rms)}, "
        f"{_percent(strain.p95)}, {_percent(strain.largest)}{over}"
    )


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %"


def _seams(made: Made) -> Iterator[str]:
    """Every seam with its length, and what is seen of it before and after."""
    yield "  Seams"
    routes = {route.wish.name: route for route in made.routing.routes} if made.routing else {}
    for seam in made.cuts.glue:
        route = routes.get(seam.seam)
        said = f"    {seam.seam} ({seam.kind}): {seam.length_m * 100:.1f} cm"
        if route is not None:
            said += (
                f"; seen on average {route.before.visible_m * 100:.1f} cm at its usual place, {route.after.visible_m * 100:.1f} cm "
                f"where it runs now; {_audience(route.after.audience)}"
            )
        elif seam.seam in made.fixed:
            seen = made.fixed[seam.seam]
            said += f"; it lies where the pieces need it: seen on average {seen.visible_m * 100:.1f} cm, {_audience(seen.audience)}"
        yield said
    if made.routing is not None:
        before, after = made.routing.visible_before_m, made.routing.visible_after_m
        rest = sum(seen.visible_m for seen in made.fixed.values())
        yield (
            f"    all seams that can be moved ({made.routing.weighting}): seen {before * 100:.1f} cm before, {after * 100:.1f} cm after; "
            f"rings and darts {rest * 100:.1f} cm"
        )
    elif made.why_not:
        yield f"    not routed: {made.why_not}"


def _audience(share: float) -> str:
    return (
        "nobody sees it in the poses looked at" if share == 0 else f"{share * 100:.1f} % of the audience see some of it"
    )


def document(made: Made, pages: Mapping[int, tuple[str, ...]], scene: str) -> dict[str, Any]:
    """The pattern as one JSON document; `pages` of the tiles by the number of the piece."""
    from sightline.pattern.cautions import CAUTIONS
    from sightline.pattern.made import whole_strain

    pattern, cuts, layout = made.pattern, made.cuts, made.layout
    whole = whole_strain(pattern.pieces)
    routes = {route.wish.name: route for route in made.routing.routes} if made.routing else {}
    before = {**made.fixed, **{name: route.before for name, route in routes.items()}}
    after = {**made.fixed, **{name: route.after for name, route in routes.items()}}
    foam = pattern.foam
    found: dict[str, Any] = {
        "schema_version": 1, "title": pattern.title, "scene": scene, "limb": pattern.limb,
        "foam": {"material": foam.material, "thickness_m": foam.thickness_m, "skin": foam.skin, "neutral_share": foam.neutral,
                 "ease_m": foam.ease_m, "strain_limit": foam.limit},
        "pieces": [
            {"number": row.number, "of": row.of, "name": row.name, "size_m": [row.width_m, row.height_m], "area_m2": row.area_m2,
             "mass_kg": row.mass_kg, "sheet": row.sheet, "pages": [*pages.get(row.number, ())],
             "outline_m": piece.flat[piece.outline].tolist(),
             "strain": {"rms": piece.strain.rms, "p95": piece.strain.p95, "p99": piece.strain.p99, "largest": piece.strain.largest,
                        "area_over_limit": piece.strain.over}}
            for row, piece in zip(cuts.pieces, pattern.pieces, strict=True)
        ],
        "seams": [
            {"name": seam.seam, "kind": seam.kind, "pieces": [*seam.pieces], "length_m": seam.length_m, "glue_m2": seam.area_m2,
             "routed": seam.seam in routes,
             "visible_before_m": before[seam.seam].visible_m if seam.seam in before else None,
             "visible_m": after[seam.seam].visible_m if seam.seam in after else None,
             "audience_share": after[seam.seam].audience if seam.seam in after else None}
            for seam in cuts.glue
        ],
        "routing": None if made.routing is None else {
            "way": made.routing.weighting, "visible_before_m": made.routing.visible_before_m,
            "visible_after_m": made.routing.visible_after_m,
            "visible_fixed_m": sum(seen.visible_m for seen in made.fixed.values())},
        "not_routed": made.why_not,
        "layout": {
            "stock": layout.stock.name, "width_m": layout.stock.width_m, "height_m": layout.stock.height_m, "gap_m": layout.gap_m,
            "sheets": layout.sheets, "used_share": layout.used,
            "placed": [{"number": p.number, "sheet": p.sheet, "turn_rad": p.turn_rad, "shift_m": [*p.shift_m]} for p in layout.placed],
        },
        "strain": {"rms": whole.rms, "p95": whole.p95, "p99": whole.p99, "largest": whole.largest, "area_over_limit": whole.over},
        "materials": [
            {"name": b.name, "quantity": b.quantity, "mass_kg": b.mass_kg, "cost": b.cost, "cost_how": b.cost_how or None}
            for b in cuts.bought
        ],
        "currency": cuts.currency,
        "glue": {"length_m": cuts.glue_m, "area_m2": cuts.glue_m2},
        "assembly": [
            {"step": step.number, "seam": step.joint.seam, "pieces": [*step.joint.pieces],
             "marks": None if step.marks is None else [*step.marks],
             "through": step.access.through or None, "reached": step.access.reached, "words": step.words}
            for step in made.assembly.steps
        ],
        "cautions": [*CAUTIONS],
        "assumptions": made.assumptions, "not_checked": made.not_checked,
    }  # fmt: skip
    out: dict[str, Any] = _rounded(found)
    return out


def _rounded(value: Any) -> Any:
    """Nine significant digits everywhere: the same input gives the same bytes."""
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, dict):
        return {key: _rounded(inner) for key, inner in value.items()}
    return [_rounded(inner) for inner in value] if isinstance(value, (list, tuple)) else value
