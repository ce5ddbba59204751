"""Names that mean something else to whatever they are written into."""

from __future__ import annotations

from sightline.scene.editing import quoted

NAMES = {
    "script": "</script><script>alert(1)</script>",
    "attribute": '" onload="alert(1)" x=\'',
    "image": "<img src=x onerror=alert(1)>",
    "entity": "&lt;b&amp;&#x3c; &bogus;",
    "comment": "<!--<script>",
    "end of data": "]]>--></svg></title></style>",
    "template": "{{ 7*7 }}{% raw %}${7*7}#{7}",
    "mathtext": r"$\frac{1}{ \undefined$",
    "two dollars": "5 $ and 6 $",
    "rich": "[bold red]x[/] [/] [link=file:///etc/passwd]y",
    "paragraph": "<b><font color='red' size=99>x</font> <para>",
    "drawing": r"%%uunder %%c ^J \U+0041 {\H5x;big} \P",
    "format": "%s %n {0} {x!r}",
    "yaml": "'a': [b, {c: d}] # &e *f !g \"h\" -",
    "cell": "=1+1",
    "letters": "é ü ß 日本 ☃ 𝄞 العربية",
    "look-alike": "аrm",  # The first letter is Cyrillic.
    "path": "../../../tmp/x",
    "reserved": "CON",
}
# Not printable: bidi controls turn what is read round, an escape steers the terminal, a NUL ends a name, and so on.
REFUSED = {
    "right to left override": "a\u202eb", "isolate": "a\u2066b", "zero width": "a\u200bb", "escape": "a\x1b[2Jb",
    "C1": "a\x9b2Jb", "bell": "a\x07b", "NUL": "a\0b", "line": "a\nb", "line separator": "a\u2028b", "soft hyphen": "a\u00adb",
    "private": "a\ue000b", "noncharacter": "a\uffffb", "byte order mark": "a\ufeffb", "tag": "a\U000e0041b",
}  # fmt: skip


def scene(most: int = 100) -> str:
    """A small act that goes along with its mark, all its names hostile: title, cover, beats, marks, `most` secrets and eyes."""
    secrets = [
        f"  - {{name: {quoted(name)}, rectangle: {{width: 10 cm, height: 5 cm}}, at: [{k * 0.02:.2f} m, 0 m, 1 m], carried: yes}}"
        for k, name in enumerate([*NAMES.values()][:most])
    ]
    eyes = [
        f"  - {{id: {quoted(name)}, at: [{k * 0.5 - 4:.2f} m, -5 m, 1.2 m]}}"
        for k, name in enumerate([*NAMES.values()][:most])
    ]
    script, math, template = (quoted(NAMES[key]) for key in ("script", "mathtext", "template"))
    image = quoted(f"plate {NAMES['image']}")
    return "\n".join(
        [
            "version: 1", f"title: {script}",
            f"covers: [{{name: {image}, disc: {{radius: 30 cm}}, at: [0 m, -0.5 m, 1 m], carried: yes}}]",
            "secrets:", *secrets, "eyes:", *eyes,
            "blocking:", f"  marks: {{{math}: [0 m, 0 m], {template}: [1 m, 0 m]}}", "  beats:",
            f"    - {{name: {script}, at: 0 s, mark: {math}, facing: 0 deg, cue: {image}}}",
            f"    - {{name: {template}, at: 3 s, mark: {template}, facing: 10 deg}}",
            f"accepted: [{{seats: [{script}], sees: {image}, by: {math}, date: {template}, note: {script}}}]", "",
        ]
    )  # fmt: skip
