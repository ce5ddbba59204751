"""The pictures that the README shows: `python -m tests.renders`. Each is made by the command named beside it."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

REPOSITORY = Path(__file__).parent.parent


def readme_commands() -> list[str]:
    """Every `sightline ...` line of the README's shell blocks."""
    text = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, flags=re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.startswith("sightline ")]


def main() -> None:
    shown = set(re.findall(r"\(renders/([^)]+)\)", (REPOSITORY / "README.md").read_text(encoding="utf-8")))
    commands = readme_commands()
    commands.append(
        'sightline view examples/courier-stage-mended.yaml --eye "stalls A13" --rays --out stage-mended-A13.png'
    )
    for line in commands:
        words = shlex.split(line)
        if "--out" in words and (name := words[words.index("--out") + 1]) in shown:
            words[words.index("--out") + 1] = f"renders/{name}"
            subprocess.run([sys.executable, "-m", *words, "--force"], cwd=REPOSITORY, check=True)


if __name__ == "__main__":
    main()
