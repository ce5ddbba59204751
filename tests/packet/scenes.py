"""Small scenes for the page: a carried screen before a carried card, so that each check costs next to nothing."""

from __future__ import annotations

HOSTILE = "<script>document.title = 'taken'</script>"

ROWS = [(row, y) for row, y in zip("ABCDE", range(-4, -14, -2), strict=True)]
SEATS = [(f"{row}{n}", (n - 5) * 1.1, float(y), 1.2 + 0.1 * k) for k, (row, y) in enumerate(ROWS) for n in range(1, 10)]

ACT = """\
covers:
  - {name: screen, box: {width: 60 cm, depth: 3 cm, height: 60 cm}, at: [0 m, -40 cm, 1.2 m], carried: yes}
secrets:
  - {name: card, rectangle: {width: 30 cm, height: 30 cm}, two sided: yes, at: [0 m, 0 m, 1.2 m], carried: yes}
  - {name: cord, kind: rig, cylinder: {radius: 1 cm, height: 40 cm}, at: [10 cm, -20 cm, 1.2 m], carried: yes}
"""
BEATS = """\
blocking:
  mark: [0 m, 0 m]
  facing: 0 deg
  beats:
    - {at: 0 s, name: waits, mark: [0 m, 0 m], facing: 0 deg, hold: 1 s}
    - {at: 4 s, name: turns <b>away</b>, facing: 60 deg, hold: 1 s}
    - {at: 8 s, name: crosses, mark: [1.5 m, 0.5 m], facing: -20 deg, hold: 2 s}
"""


def plain(title: str = "Cards", blocking: str = BEATS, act: str = ACT) -> str:
    """A scene with 45 seats in five rows; the card shows to whoever sees past the screen."""
    seats = "\n".join(
        f"  - {{id: {name}, at: [{x:.2f} m, {y:.2f} m, {z:.2f} m], kind: seated}}" for name, x, y, z in SEATS
    )
    return f'version: 1\ntitle: "{title}"\n{act}{blocking}eyes:\n{seats}\n'
