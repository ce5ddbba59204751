"""The order of the packages, the size of the files, what is imported when, and one word that is kept for people."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

import sightline
from tests.conftest import REPOSITORY

SOURCE = REPOSITORY / "sightline"
FILES = sorted(SOURCE.rglob("*.py"))
MOST_LINES = 400

# Section 3 of the design, with geometry below everything, and moment and staging between house and sight. A package
# may import those above it, and itself; what stands between it and them but is no business of its own is in NEVER.
ORDER = [
    "units", "errors", "geometry", "scene", "form", "figure", "props", "house", "moment", "staging", "sight",
    "blocking", "workshop", "pattern", "pictures", "drawings", "packet", "tour", "cli", "__main__",
]  # fmt: skip
NEVER = {
    "geometry": {"scene", "figure", "props", "house", "units"},
    "house": {"figure", "props", "form"},
    "moment": {"scene", "figure", "props", "form"},
    "sight": {"staging", "props", "figure", "form", "scene"},
    "staging": {"sight", "form"},
    "pictures": {"cli", "staging", "form"},
    "figure": {"form"}, "props": {"form"},
}  # fmt: skip
# The form asks what scenes hold: it reads bodies and ready venues, and nothing that computes.
ALSO = {"form": {"figure", "house"}}
HEAVY = [
    "numpy", "scipy", "trimesh", "pyvista", "vtkmodules", "matplotlib", "embreex", "manifold3d", "reportlab", "PIL",
    "yaml", "pydantic",
]  # fmt: skip


def package_of(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def imports_of(path: Path) -> list[tuple[int, str]]:
    """(line, package of ours) for every import in a file, those inside functions and under TYPE_CHECKING too."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: a relative import"
            module = node.module or ""
            names = [f"{module}.{alias.name}" for alias in node.names] if module == "sightline" else [module]
        found += [(node.lineno, name.split(".")[1]) for name in names if name.startswith("sightline.")]  # type: ignore[attr-defined]
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_imports_go_one_way(path: Path) -> None:
    own = package_of(path)
    if own == "__init__":
        assert imports_of(path) == []
        return
    assert own in ORDER, f"'{own}' has no place in the order; give it one here and in DEVELOPERS.md"
    above = set(ORDER[: ORDER.index(own)]) | ALSO.get(own, set())
    wrong = [
        f"{path.relative_to(REPOSITORY)}:{line} imports {name}"
        for line, name in imports_of(path)
        if name not in ("__version__", own) and (name not in above or name in NEVER.get(own, set()))
    ]
    assert wrong == []


def test_the_order_can_fail(tmp_path: Path) -> None:
    """The reading of imports sees every way of writing one."""
    path = tmp_path / "lower.py"
    path.write_text(
        "import sightline.cli.main\nfrom sightline import props\nfrom sightline.sight.check import check\n"
        "def late():\n    from sightline.house import eyes\n",
        encoding="ascii",
    )
    assert sorted(imports_of(path)) == [(1, "cli"), (2, "props"), (3, "sight"), (5, "house")]


def test_there_are_files_to_look_at() -> None:
    assert len(FILES) > 50
    assert {package_of(path) for path in FILES} >= {
        "scene",
        "figure",
        "props",
        "house",
        "sight",
        "staging",
        "pictures",
        "cli",
    }


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_files_stay_short(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= MOST_LINES, f"{path.relative_to(REPOSITORY)} has {lines} lines"
    assert path.stem not in ("util", "utils", "helpers", "common", "misc")


HELP = """
import sys
sys.argv = ["sightline", "--help"]
from sightline.cli.main import main
try:
    main()
except SystemExit:
    pass
"""


@pytest.mark.parametrize("words", ["import sightline.cli.main", HELP], ids=["import", "help"])
def test_heavy_libraries_wait(words: str) -> None:
    """`sightline --help` costs about what typer costs: nothing heavy is imported until a command needs it."""
    code = f"{words}\nimport sys\nprint('LOADED', *[m for m in {HEAVY!r} if m in sys.modules])"
    ended = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True, cwd=REPOSITORY
    )
    assert ended.stdout.splitlines()[-1] == "LOADED"


def said_by(path: Path) -> list[tuple[int, str]]:
    """What a file can put before a user: its strings but for docstrings, keys of files, options of commands."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings:
            found.append((node.lineno, node.value))
        elif isinstance(node, ast.ClassDef):
            fields = [item.target for item in node.body if isinstance(item, ast.AnnAssign)]
            found += [(field.lineno, field.id) for field in fields if isinstance(field, ast.Name)]
        elif isinstance(node, ast.FunctionDef) and package_of(path) == "cli":
            found += [(arg.lineno, arg.arg) for arg in (*node.args.args, *node.args.kwonlyargs)]
    return found


# What may be called safe is a person: these words must stand near it.
PEOPLE = re.compile(
    r"person|people|performer|audience|crowd|handler|health|strain|injur|hurt|guide|fire|evacu|egress", re.IGNORECASE
)
SAFE = re.compile(r"(?<![a-z])(un)?safe(ly|r|st|ty)?(?![a-z])|_safe|safe_", re.IGNORECASE)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_safe_is_said_of_people_only(path: Path) -> None:
    """Not exposed is `clean`; nobody should read `safe` on a plan and mean a sightline (design, section 1)."""
    wrong = [
        f"{path.relative_to(REPOSITORY)}:{line}: {text[:80]!r}"
        for line, text in said_by(path)
        # PyYAML's own name for the loader that builds nothing.
        if SAFE.search(text.replace("SafeLoader", "")) and not PEOPLE.search(text)
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("The seat is safe.", True), ("safe_deg", True), ("unsafely", True), ("safety_m", True),
        ("Unsafe load for the performer", False), ("safeguard", False), ("clean", False),
    ],
)  # fmt: skip
def test_the_word_is_found(text: str, wrong: bool) -> None:
    assert bool(SAFE.search(text) and not PEOPLE.search(text)) is wrong


def test_version_is_the_changelogs_top_entry() -> None:
    changelog = REPOSITORY / "CHANGELOG.md"
    if not changelog.exists():
        pytest.skip("CHANGELOG.md is not there yet; its top entry must then be the version")
    entry = re.search(r"^##\s+\[?v?(\d+\.\d+\.\d+[^\s\]]*)", changelog.read_text(encoding="utf-8"), re.MULTILINE)
    assert entry is not None, "no entry such as '## 0.1.0' in CHANGELOG.md"
    assert entry[1] == sightline.__version__
