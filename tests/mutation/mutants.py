"""All mutants of the files under trial, and a seeded sample of them. The operators are those of cosmic-ray.

A mutant is known by its file, the function it is in, the text of its line, the operator and which of that operator's
places on that text it is: not by a line number, so that a change elsewhere in the file leaves it the same mutant.
"""

from __future__ import annotations

import ast
import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import parso
from cosmic_ray.ast import ast_nodes, get_ast  # type: ignore[import-untyped]
from cosmic_ray.mutating import MutationVisitor  # type: ignore[import-untyped]
from cosmic_ray.operators.operator import Operator  # type: ignore[import-untyped]
from cosmic_ray.operators.provider import OperatorProvider  # type: ignore[import-untyped]

ARITHMETIC = ("Add", "Sub", "Mul", "Div", "FloorDiv", "Mod", "Pow")
BITWISE = ("BitOr", "BitAnd", "BitXor")
RELATIONS = ("Eq", "NotEq", "Lt", "LtE", "Gt", "GtE")
SIGNS = ("UAdd", "USub")
PLAIN = (
    "AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr", "ReplaceOrWithAnd",
    "ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ExceptionReplacer", "NumberReplacer", "RemoveDecorator",
    "ZeroIterationForLoop", "ReplaceUnaryOperator_Delete_Not", "ReplaceUnaryOperator_Delete_USub",
    "ReplaceUnaryOperator_Delete_Invert", "ReplaceComparisonOperator_Is_IsNot", "ReplaceComparisonOperator_IsNot_Is",
)  # fmt: skip


def operator_names() -> list[str]:
    """The operators used: a sign only becomes a sign of its own kind, as all others end in a TypeError at once.

    Such mutants would be killed by any test that passes by and would flatter the rate. `==` never becomes `is`, for
    the same reason. cosmic-ray has no operator for strings: messages are not mutated.
    """
    names = list(PLAIN)
    for word, kinds in (
        ("ReplaceBinaryOperator", (ARITHMETIC, BITWISE)),
        ("ReplaceComparisonOperator", (RELATIONS,)),
        ("ReplaceUnaryOperator", (SIGNS,)),
    ):
        names += [f"{word}_{a}_{b}" for kind in kinds for a in kind for b in kind if a != b]
    return sorted(names)


@cache
def _operators() -> dict[str, Operator]:
    provider = OperatorProvider()
    return {name: provider[name]() for name in operator_names()}


@dataclass(frozen=True)
class Mutant:
    """One change of one file. `nth` and `occurrence` count the operator's places: on this text, and in the file."""

    file: str
    scope: str
    was: str
    operator: str
    nth: int
    occurrence: int
    line: int

    @property
    def key(self) -> tuple[str, str, str, str, int]:
        return self.file, self.scope, self.was, self.operator, self.nth

    def applied(self, source: str) -> str:
        """The file's text with the change made. Raises ValueError where there is no such place."""
        text = MutationVisitor.mutate_code(source, _operators()[self.operator], self.occurrence)
        if not isinstance(text, str):
            raise ValueError(f"no place {self.occurrence} for {self.operator} in {self.file}")
        return text

    def becomes(self, source: str) -> str:
        """What the line reads after the change."""
        after = self.applied(source).splitlines()
        first = [a.strip() for a, b in zip(after, source.splitlines(), strict=False) if a != b]
        return first[0] if first else ""


def files_under_trial(root: Path) -> list[str]:
    """Names, relative to the repository, of the files that are mutated."""
    return ["sightline/units.py", *sorted(f"sightline/sight/{p.name}" for p in (root / "sightline/sight").glob("*.py"))]


def mutants_of(file: str, source: str) -> list[Mutant]:
    """All mutants of one file, in the order of operator and place.

    Left out, as nothing of them runs: type annotations and what stands under `if TYPE_CHECKING`.
    """
    tree = ast.parse(source)
    lines = source.splitlines()
    idle, scopes = _idle(tree, lines), _scopes(tree)
    nodes = [node for node in ast_nodes(get_ast(source)) if _may_change(node)]
    out, seen = [], Counter[tuple[str, str, str]]()
    for name, operator in sorted(_operators().items()):
        occurrence = -1
        for start, end in (place for node in nodes for place in operator.mutation_positions(node)):
            occurrence += 1
            if any(low <= start and end <= high for low, high in idle):
                continue
            was, scope = lines[start[0] - 1].strip(), _scope_at(scopes, start[0])
            mutant = Mutant(file, scope, was, name, seen[scope, was, name], occurrence, start[0])
            seen[scope, was, name] += 1
            if name != "ExceptionReplacer" or _can(mutant, source):
                out.append(mutant)
    return out


def _can(mutant: Mutant, source: str) -> bool:
    """Whether the library can make the change: an exception's name with a dot in it is too much for it."""
    try:
        return bool(mutant.applied(source))
    except AttributeError:
        return False


def all_mutants(root: Path) -> list[Mutant]:
    return [
        mutant
        for file in files_under_trial(root)
        for mutant in mutants_of(file, (root / file).read_text(encoding="utf-8"))
    ]


def sampled(mutants: list[Mutant], size: int, seed: int) -> list[Mutant]:
    """`size` of the mutants, those of the lowest hash with the seed: a change of one file leaves most others drawn."""
    ranked = sorted(mutants, key=lambda m: hashlib.sha256(repr((seed, m.key)).encode()).digest())
    return sorted(ranked[:size], key=lambda m: (m.file, m.line, m.operator, m.occurrence))


Place = tuple[int, int]


def _may_change(node: parso.tree.NodeOrLeaf) -> bool:
    """Whether any operator could have a place here; the rest is left out for speed."""
    return isinstance(node, parso.python.tree.Operator | parso.python.tree.Keyword | parso.python.tree.Number) or (
        node.type
        in {"comparison", "factor", "not_test", "test", "if_stmt", "while_stmt", "assert_stmt", "for_stmt"}
        | {"decorator", "except_clause"}
    )


def _idle(tree: ast.Module, lines: list[str]) -> list[tuple[Place, Place]]:
    """Where nothing runs: from and to, as (line, column in characters)."""
    parts: list[ast.AST | None] = []
    for node in ast.walk(tree):
        match node:
            case ast.arg() | ast.AnnAssign():
                parts.append(node.annotation)
            case ast.FunctionDef():
                parts.append(node.returns)
            case ast.If(test=ast.Name(id="TYPE_CHECKING")):
                parts.append(node)

    def place(line: int, column: int) -> Place:
        return line, len(lines[line - 1].encode()[:column].decode())

    return [
        (place(p.lineno, p.col_offset), place(p.end_lineno or 0, p.end_col_offset or 0))
        for p in parts
        if isinstance(p, ast.expr | ast.stmt)
    ]


def _scopes(tree: ast.Module) -> list[tuple[int, int, str]]:
    """First and last line, decorators included, and dotted name of every function and class."""

    def within(node: ast.AST, prefix: str) -> Iterator[tuple[int, int, str]]:
        for child in ast.iter_child_nodes(node):
            name = prefix
            if isinstance(child, ast.FunctionDef | ast.ClassDef):
                name = f"{prefix}.{child.name}".lstrip(".")
                first = min([child.lineno, *(d.lineno for d in child.decorator_list)])
                yield first, child.end_lineno or child.lineno, name
            yield from within(child, name)

    return list(within(tree, ""))


def _scope_at(scopes: list[tuple[int, int, str]], line: int) -> str:
    """The innermost function or class round a line; empty at the file's own level."""
    return max(((first, name) for first, last, name in scopes if first <= line <= last), default=(0, ""))[1]
