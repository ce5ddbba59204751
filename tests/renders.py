"""The gallery: `python -m tests.renders` makes every picture of `renders/` again, in some minutes, on any machine.

Those that the README shows are made by the README's own commands; the others by the commands below. All are cast with
rays, so that every machine makes the same. `python -m tests.renders NAME ...` makes only those whose name holds a word.
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

REPOSITORY = Path(__file__).parent.parent
RENDERS = REPOSITORY / "renders"

# What the README has no command for, or shows of another scene.
GALLERY = (
    'sightline view examples/courier-stage.yaml --eye "stalls A13" --rays --out stage-draft-A13.png',
    'sightline view examples/courier-stage-mended.yaml --eye "stalls A13" --rays --out stage-mended-A13.png',
    'sightline view examples/courier-stage-mended.yaml --eye "stalls B19" --silhouette --hold "40 cm" --out stage-silhouette.png',
    "sightline view examples/courier-pitch-mended.yaml --contact --out pitch-contact.png",
    "sightline map examples/courier-stage-beats.yaml --worst-beat --out stage-worst-beat.png",
    "sightline map examples/courier-street.yaml --out street-map.png",
    "sightline map examples/courier-street.yaml --bands --out street-bands.png",
)


# Of the files that `pattern` writes beside its prefix, the picture.
PREVIEW = "-preview.png"


def readme() -> str:
    return (REPOSITORY / "README.md").read_text(encoding="utf-8")


def readme_commands() -> list[str]:
    """Every `sightline ...` line of the README's shell blocks."""
    blocks = re.findall(r"```sh\n(.*?)```", readme(), flags=re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.startswith("sightline ")]


def shown() -> set[str]:
    """The pictures that the README shows."""
    return set(re.findall(r"\(renders/([^)]+)\)", readme()))


def made_by() -> dict[str, list[str]]:
    """The words of the command for every picture of the gallery, by its file's name."""
    out: dict[str, list[str]] = {}
    for line in (*GALLERY, *readme_commands()):
        words = shlex.split(line)
        if "--out" not in words:
            continue
        name = words[words.index("--out") + 1]
        if words[1] == "pattern":
            name += PREVIEW
        if name in shown() or line in GALLERY:
            out[name] = words
    return out


def main() -> None:
    wanted = sys.argv[1:]
    for name, words in made_by().items():
        if wanted and not any(word in name for word in wanted):
            continue
        if words[1] == "pattern":
            with tempfile.TemporaryDirectory() as folder:
                run([f"{folder}/x" if word + PREVIEW == name else word for word in words])
                shutil.copyfile(f"{folder}/x{PREVIEW}", RENDERS / name)
            continue
        run([f"renders/{name}" if word == name else word for word in words])


def run(words: list[str]) -> None:
    subprocess.run([sys.executable, "-m", *words, "--force"], cwd=REPOSITORY, check=True)


if __name__ == "__main__":
    main()
