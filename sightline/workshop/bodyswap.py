"""A second performer for the same act: what is written of the new body, and both bodies side by side."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sightline.figure.sheet import BodySheet
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.recasting import with_performer
from sightline.scene.scene import Scene
from sightline.staging.body import Body, body_of
from sightline.units import printed_length

# Keys of a performer that go over from another scene, in the order in which they are written.
TAKEN = ("stature", "sex", "age", "proportions", "mass", "measured", "allergies")


@dataclass(frozen=True)
class Wanted:
    """The new body as YAML of one line by the performer's keys."""

    keys: dict[str, str]


def wanted_of(
    written: Written[Scene], *, stature: str | None, sex: str | None, age: float | None, mass: str | None,
    proportions: str | None, measured: dict[str, float],
) -> Wanted:  # fmt: skip
    """The new body from what is said of it. What is not said is estimated, not kept from the old body.

    Whose proportions are taken is no size of a body: left out, they stay as the scene has them.
    """
    before = written.model.performer
    keys: dict[str, str] = {}
    if stature is not None:
        keys["stature"] = _line(stature.strip())
    if sex is not None:
        keys["sex"] = sex
    if age is not None:
        keys["age"] = f"{age:g}"
    kept = before.proportions if before and "proportions" in before.model_fields_set else None
    if proportions or kept:
        keys["proportions"] = str(proportions or kept)
    if mass is not None:
        keys["mass"] = _line(mass.strip())
    if measured:
        sizes = ", ".join(f"{name.replace('_', ' ')}: {printed_length(value)}" for name, value in measured.items())
        keys["measured"] = f"{{{sizes}}}"
    return Wanted(_quiet(keys, written))


def wanted_from(written: Written[Scene], other: Written[Scene]) -> Wanted:
    """The new body from another scene's performer. Raises FileError where there is none that can be carried over."""
    performer = other.model.performer
    if performer is None:
        raise other.problem((), "The scene has no performer to take over.")
    if performer.mesh is not None:
        raise other.problem(
            ("performer", "mesh"),
            "A scan belongs to the folder of its own scene; recast by the body sheet: stature, sex, mass and measured.",
        )
    tree = other.document.tree["performer"]
    keys = {name: _line(tree[name]) for name in TAKEN if name in tree}
    return Wanted(_quiet(keys, written))


def _quiet(keys: dict[str, str], written: Written[Scene]) -> dict[str, str]:
    """What says the same as the scene does now keeps the scene's own words, so that nothing is touched for nothing."""
    before, tree = written.model.performer, written.document.tree.get("performer") or {}
    if before is None:
        raise written.problem((), "The scene has no performer to recast.")
    text = "version: 1\nperformer: {" + ", ".join(f"{k}: {v}" for k, v in keys.items()) + "}\n"
    after = scene_from_text(text, "the new performer").model.performer
    assert after is not None
    out = {}
    for name, value in keys.items():
        same = name in tree and getattr(after, name) == getattr(before, name)
        out[name] = _source(written, name) or value if same else value
    return out


def _source(written: Written[Scene], name: str) -> str | None:
    """The scene's own text of one key of its performer, where it stands in one piece."""
    import yaml

    text = written.document.text
    root = yaml.compose(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    assert isinstance(root, yaml.MappingNode)
    performer = next((value for key, value in root.value if key.value == "performer"), None)
    pairs = performer.value if isinstance(performer, yaml.MappingNode) else []
    node = next((value for key, value in pairs if key.value == name), None)
    if node is None:
        return None
    return text[node.start_mark.index : node.end_mark.index].strip()


def _line(value: object) -> str:
    """A value of the file as YAML of one line; what could be read as anything else than its own words is quoted."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_line(k)}: {_line(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_line(v) for v in value) + "]"
    text = str(value)
    return text if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ./-]*", text) else "'" + text.replace("'", "''") + "'"


def body_in(written: Written[Scene]) -> Body:
    """The standing body alone, nothing in its hands. Raises FileError with the place of a size that cannot be."""
    return body_of(written, None)


def recast_text(written: Written[Scene], wanted: Wanted) -> str:
    """The scene's text with the new performer and nothing else changed."""
    return with_performer(written.document.text, wanted.keys)


def body_words(sheet: BodySheet) -> str:
    """`a woman of 172 cm (5 ft 7 3/4 in), 75.6 kg (estimated)`."""
    from sightline.blocking.notation import feet
    from sightline.workshop.load import kilograms

    who = {"female": "a woman", "male": "a man", None: "a performer"}[sheet.sex]
    if sheet.child:
        who = {"female": "a girl", "male": "a boy", None: "a child"}[sheet.sex] + f" of {sheet.age_years:g} years,"
    how = "" if sheet.sources.get("mass_kg") == "measured" else ", estimated"
    return (
        f"{who} {'of ' if not sheet.child else ''}{sheet.stature_m * 100:.1f} cm ({feet(sheet.stature_m)}), "
        f"{kilograms(sheet.mass_kg)}{how}"
    )
