"""Bad scene files of every kind. `§` stands where the error must point; it is taken out before the file is written."""

from __future__ import annotations

EYES = "eyes: [{id: E1, at: [0 m, -5 m, 0 m]}]\n"
PLAIN = "version: 1\nsecrets: [{name: target, disc: {radius: 10 cm}}]\n" + EYES
SECRET = "secrets: [{name: target, disc: {radius: 10 cm}}]\n"


def plain(*lines: str) -> str:
    return "version: 1\n" + "\n".join(lines) + "\n"


def act(
    opening: str = "{wall: back, diameter: 15 cm, at: [8 cm, 0 cm]}", grip: str = "[2 cm, -2 cm, 4 cm]", more: str = ""
) -> str:
    return f"""version: 1
performer: {{stature: 172 cm, hide: [left arm]}}
prop:
  box: {{width: 46 cm, depth: 34 cm, height: 30 cm}}
  at: {{ahead: 34 cm, up: 112 cm}}
  openings:
    - {opening}
puppet:
  grip: {grip}
{more or EYES}"""


BOMB = "a: &a [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{b}: &{b} [{', '.join(['*' + a] * 10)}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)

# Name: (text, what the sentence must say). Meshes named here are written by `strangers` in test_bad_scenes.py.
TEXTS: dict[str, tuple[str, str]] = {
    "unknown key": (plain("§secretz: []", EYES), "did you mean 'secrets'?"),
    "unknown inner key": (plain("secrets: [{name: t, disc: {§radios: 1 m}}]", EYES), "did you mean 'radius'?"),
    "coarse detail": (PLAIN + "detail: §5 cm\n", "the most here is 20 mm"),
    "duplicate key": (PLAIN + "detail: 1 cm\n§detail: 2 cm\n", "twice; the first is in line 4"),
    "duplicate inner key": (plain("secrets: [{name: t, §name: u, disc: {radius: 1 m}}]", EYES), "written twice"),
    "merge key": (plain("secrets:", "  - {§<<: {name: t}, disc: {radius: 1 m}}", EYES), "no key '<<'"),
    "key that is a list": (PLAIN + "? §[a, b]\n: 1\n", "plain words"),
    "no unit": (plain("secrets: [{name: t, disc: {radius: §10}}]", EYES), "'10' has no unit; write 1.2 m"),
    "no unit in a place": (plain(SECRET, "eyes: [{id: E1, at: [0 m, §-5, 0 m]}]"), "has no unit"),
    "decimal comma": (plain('secrets: [{name: t, disc: {radius: §"46,5 cm"}}]', EYES), "where a point belongs"),
    "decimal comma unquoted": (plain("secrets: [{name: t, disc: {radius: 46,§5 cm}}]", EYES), "write a point"),
    "an allowance too large": (PLAIN + "allowances: §{build: 1 m}\n", "the most here is 10.0 cm"),
    "too many deviations": (PLAIN + "allowances: {body: §50}\n", "the most here is 4"),
    "wrong unit": (plain("secrets: [{name: t, disc: {radius: §10 kg}}]", EYES), "'kg' is no unit of length"),
    "nan": (plain("secrets: [{name: t, disc: {radius: §.nan}}]", EYES), "is not a length"),
    "nan with a unit": (plain("secrets: [{name: t, disc: {radius: §nan m}}]", EYES), "is not a length"),
    "inf": (plain("secrets: [{name: t, disc: {radius: §inf m}}]", EYES), "is not a length"),
    "overflow": (plain("secrets: [{name: t, disc: {radius: §1e400 m}}]", EYES), "no unit of length"),
    "nan weight": (plain(SECRET, "eyes: [{id: E1, at: [0 m, -5 m, 0 m], weight: §nan}]"), "not a plain number"),
    "nan facing": (
        plain("secrets: [{name: t, disc: {radius: 1 m}, facing: §[nan, 0, 1]}]", EYES),
        "not a plain number",
    ),
    "facing nowhere": (plain("secrets: [{name: t, disc: {radius: 1 m}, facing: §[0, 0, 0]}]", EYES), "points nowhere"),
    "negative size": (plain("secrets: [{name: t, disc: {radius: §-1 cm}}]", EYES), "more than nothing"),
    "no size": (plain("secrets: [{name: t, disc: {radius: §0 m}}]", EYES), "more than nothing"),
    "over 10 km": (plain("secrets: [{name: t, disc: {radius: §10001 m}}]", EYES), "the most here is 10 km"),
    "10 km off": (plain(SECRET, "eyes: [{id: E1, at: [0 m, §-10001 m, 0 m]}]"), "at least -10 km"),
    "5 km secret": (plain("secrets: [§{name: t, disc: {radius: 5000 m}}]", EYES), "more than 400000 patches"),
    "range backwards": (plain("secrets: [{name: t, disc: {radius: §50-46 cm}}]", EYES), "runs from more to less"),
    "two numbers for three": (plain(SECRET, "eyes: [{id: E1, at: §[0 m, 1 m]}]"), "A value is missing from this list"),
    "contrast": (plain("secrets: [{name: t, disc: {radius: 1 m}, contrast: §1.5}]", EYES), "a share from 0 to 1"),
    "two shapes": (
        plain("secrets: [§{name: t, disc: {radius: 1 m}, sphere: {radius: 1 m}}]", EYES),
        "Exactly one shape",
    ),
    "no shape": (plain("secrets: [§{name: t}]", EYES), "Exactly one shape"),
    "seam without path": (plain("secrets: [§{name: t, kind: seam, disc: {radius: 1 m}}]", EYES), "given by its path"),
    "seam without length": (
        plain("secrets: [{name: t, kind: seam, path: §[[0 m, 0 m, 0 m], [0 m, 0 m, 0 m]]}]", EYES),
        "no length",
    ),
    "seam on nothing": (
        plain("secrets: [{name: t, kind: seam, on: §arm, path: [[0 m, 0 m, 0 m], [1 m, 0 m, 0 m]]}]", EYES),
        "no cover named 'arm'",
    ),
    "kind": (plain("secrets: [{name: t, kind: §limp, disc: {radius: 1 m}}]", EYES), "did you mean 'limb'?"),
    "opening larger than its wall": (act("§{wall: back, diameter: 32 cm}"), "larger than the back wall's 292 mm"),
    "opening cuts an edge": (
        act("{wall: back, diameter: 15 cm, at: §[20 cm, 0 cm]}"),
        "cuts the back wall's edge by 49 mm",
    ),
    "opening in an open top": (
        act("§{wall: top, diameter: 5 cm}").replace("height: 30 cm", "height: 30 cm, top: open"), "no top wall",
    ),
    "grip out of reach": (act(grip="§[0 cm, -90 cm, 0 cm]"), "mm"),
    "no opening for the arm": (
        act("§{wall: left, diameter: 5 cm}").replace("§", "").replace("prop:\n  box", "prop:\n  §box"),
        "needs an opening",
    ),
    "stature": (act().replace("172 cm", "§17 cm"), "0.17 m"),
    "mesh missing": (plain("secrets: [{name: t, mesh: §gone.obj}]", EYES), "is not there"),
    "cover mesh missing": (plain("covers: [{name: c, mesh: §gone.obj}]", SECRET, EYES), "is not there"),
    "prop mesh missing": (
        "version: 1\nperformer: {stature: 172 cm}\nprop: {mesh: §gone.obj, at: {ahead: 34 cm, up: 112 cm}}\n"
        + SECRET + EYES,
        "is not there",
    ),
    "scan missing": (plain("performer: {stature: 172 cm, mesh: §gone.glb}", SECRET, EYES), "is not there"),
    "words as OBJ": (plain("secrets: [{name: t, mesh: §words.obj}]", EYES), "'words.obj'"),
    "noise as STL": (plain("secrets: [{name: t, mesh: §noise.stl}]", EYES), "'noise.stl'"),
    "noise as GLB": (plain("secrets: [{name: t, mesh: §noise.glb}]", EYES), "'noise.glb'"),
    "empty OBJ": (plain("secrets: [{name: t, mesh: §empty.obj}]", EYES), "'empty.obj'"),
    "not an ending we read": (plain("secrets: [{name: t, mesh: §words.txt}]", EYES), "use OBJ, STL, PLY or GLB"),
    "no area": (plain("secrets: [{name: t, mesh: §flat.obj}]", EYES), "has no area"),
    "nan corner": (plain("secrets: [{name: t, mesh: §nan.obj}]", EYES), "'nan.obj'"),
    "corner not there": (plain("secrets: [{name: t, mesh: §index.obj}]", EYES), "'index.obj'"),
    "mesh in mm": (plain("secrets: [{name: t, mesh: §huge.obj}]", EYES), "scale: 0.001"),
    "PLY that claims a billion points": (plain("secrets: [{name: t, mesh: §claims.ply}]", EYES), "'claims.ply'"),
    "STL that claims 4 billion facets": (plain("secrets: [{name: t, mesh: §claims.stl}]", EYES), "'claims.stl'"),
    "path up": (plain("secrets: [{name: t, mesh: §../outside.obj}]", EYES), "outside the scene's folder"),
    "path round about": (
        plain("secrets: [{name: t, mesh: §sub/../../outside.obj}]", EYES),
        "outside the scene's folder",
    ),
    "absolute path": (plain("secrets: [{name: t, mesh: §/etc/hostname}]", EYES), "outside the scene's folder"),
    "symlink": (plain("secrets: [{name: t, mesh: §link.obj}]", EYES), "outside the scene's folder"),
    "eyes outside": (plain(SECRET, "eyes: §{csv: ../eyes.csv}"), "outside the scene's folder"),
    "venue outside": (plain(SECRET, "venue: {use: §../hall.yaml}"), "outside the scene's folder"),
    "no such venue": (plain(SECRET, "venue: {use: §thrust-221}"), "thrust-220"),
    "mesh is a folder": (plain("secrets: [{name: t, mesh: §sub.obj}]", EYES), "is a folder"),
    "no eyes": (plain("§" + SECRET).replace("version: 1\n§", "§version: 1\n"), "Nobody is watching"),
    "no secret": ("§" + plain(EYES), "nothing secret"),
    "eye in the body": (act(more="eyes: [{id: E1, at: §[0 m, 0 m, 1.2 m]}]\n"), "inside 'torso': E1"),
    "eye in a cover": (
        plain("covers: [{name: b, box: {width: 1 m, depth: 1 m, height: 1 m}, at: [0 m, -5 m, 0 m]}]",
              SECRET + "eyes: [{id: E1, at: §[0 m, -5 m, 0 m]}]"), "inside 'b': E1",
    ),
    "eye twice": (plain(SECRET, "eyes: [{id: E1, at: [0 m, -5 m, 0 m]}, §{id: E1, at: [0 m, -6 m, 0 m]}]"), "'E1'"),
    "aimed at nobody": (plain("blocking: {aim at: §E11}", SECRET, EYES), "did you mean 'E1'?"),
    "secret twice": (
        "§" + plain("secrets: [{name: t, disc: {radius: 1 m}}, {name: t, disc: {radius: 1 m}}]", EYES),
        "named 't'",
    ),
    "unknown version": ("version: §2\n" + SECRET + EYES, "Version '2'"),
    "no version": ("§" + SECRET + EYES, "version: 1"),
    "require": (PLAIN + "require: {seen: §-1}\n", "0 to 100000"),
    "require a part": (PLAIN + "require: {seen: §1.5}\n", "whole number"),
    "alias bomb": ("version: 1\n" + BOMB, "aliases"),
    "refers to itself": ("version: 1\nsecrets: &s [*s]\n" + EYES, "without end"),
    "nested 60 deep": ("version: 1\nsecrets: " + "[" * 60 + "]" * 60 + "\n", "nested more than 40 deep"),
    "nested 2000 deep": ("version: 1\nsecrets: " + "[" * 2000 + "]" * 2000 + "\n", "nest"),
    "nested 100000 deep": ("version: 1\nsecrets: " + "[" * 100_000, "nest"),
    "tag": (PLAIN + "title: §!!python/object/apply:os.system ['touch written']\n", "tags such as"),
    "plain tag": (PLAIN + "detail: §!!float 3\n", "tags such as"),
    "tab": ("version: 1\nsecrets:\n§\t- name: t\n", "indented with a tab"),
    "not YAML": ("version: 1\nsecrets: [{name: t\n", "not valid YAML"),
    "two documents": (PLAIN + "§---\nversion: 1\n", "one document"),
    "empty": ("§", "The file is empty"),
    "white space": ("§  \n\n", "The file is empty"),
    "only comments": ("§# nothing\n# at all\n", "only comments"),
    "a list": ("§- version: 1\n", "must hold keys and values"),
    "a word": ("§version\n", "must hold keys and values"),
    "nothing after a key": (plain("secrets: [{name: t, disc: {radius: §''}}]", EYES), "Nothing is written here"),
    "name over two lines": (plain('secrets: [{name: §"a\\nb", disc: {radius: 1 m}}]', EYES), "printable characters"),
    "name with an escape": (
        plain('secrets: [{name: §"\\e[31mred", disc: {radius: 1 m}}]', EYES),
        "printable characters",
    ),
    "key with an escape": (PLAIN + '§"\\e[2Jdetail": 1 cm\n', "no key '?[2Jdetail'"),
    "choice with an escape": (
        plain('secrets: [{name: t, kind: §"\\e[2J", disc: {radius: 1 m}}]', EYES),
        "not one of the choices",
    ),
    "eye kind with an escape": (
        plain(SECRET, 'eyes: [{id: E1, at: [0 m, 1 m, 0 m], kind: §"\\e[2J"}]'),
        "not one of the choices",
    ),
    "flag with an escape": (
        plain('secrets: [{name: t, disc: {radius: 1 m}, two sided: §"\\e[2J"}]', EYES),
        "neither yes nor no",
    ),
    "version with an escape": ('version: §"\\e[2J"\n' + SECRET + EYES, "not known here"),
    "size with an escape": (plain('secrets: [{name: t, disc: {radius: §"\\e[2J m"}}]', EYES), "not a length"),
}  # fmt: skip
