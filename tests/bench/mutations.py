"""Small random changes to a program's text: operators, constants, conditions, dropped statements.

A change is made in the syntax tree, so that line numbers stay and a function can be exchanged
for its changed self while the rest of the program runs on.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.And: ast.Or, ast.Or: ast.And,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.FloorDiv, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
    ast.LShift: ast.RShift, ast.RShift: ast.LShift,
}  # fmt: skip
_DROPPED = (ast.Expr, ast.Assign, ast.AugAssign, ast.Raise, ast.Return, ast.Break, ast.Continue)
_FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


MODULE = "<module>"
"""In place of a function: what a file or a class computes when it is imported."""


@dataclass(frozen=True)
class Mutant:
    """One change: where it is, what it says, and the tree with it."""

    file: Path
    line: int
    function: str
    """Qualified name of the outermost function it is in, as Python gives it, or MODULE."""
    change: str
    """Before and after, in one line of source."""
    at: int
    """Which of the changes of its file."""

    def name(self, root: Path) -> str:
        """Stable while the function's text is."""
        return f"{self.file.relative_to(root)} {self.function}: {self.change}"


def _source(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())[:90]


def _functions(tree: ast.Module) -> Iterator[tuple[str, ast.AST]]:
    """The outermost functions with their qualified names."""

    def within(body: list[ast.stmt], before: str) -> Iterator[tuple[str, ast.AST]]:
        for node in body:
            if isinstance(node, _FUNCTIONS):
                yield before + node.name, node
            elif isinstance(node, ast.ClassDef):
                yield from within(node.body, f"{before}{node.name}.")
            elif isinstance(node, ast.If):
                yield from within(node.body + node.orelse, before)

    yield from within(tree.body, "")


def _constants(body: list[ast.stmt]) -> Iterator[tuple[str, ast.AST]]:
    """What is assigned at import: constants and tables of a file, fields of its classes."""
    for node in body:
        if isinstance(node, (ast.Assign, ast.AnnAssign)):
            yield MODULE, node
        elif isinstance(node, ast.ClassDef):
            yield from _constants(node.body)


def _parts(node: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Every node below, with its parent, field and place; annotations and decorators left out."""
    for field, value in ast.iter_fields(node):
        if field in ("annotation", "returns", "decorator_list", "type_params"):
            continue
        children = value if isinstance(value, list) else [value]
        for at, child in enumerate(children):
            if isinstance(child, ast.AST):
                yield node, field, at if isinstance(value, list) else None, child
                yield from _parts(child)


def _number(value: object) -> object | None:
    """A constant a tenth off, or one off where a tenth is less; None if it is no number."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + max(1, round(abs(value) * 0.1))
    if isinstance(value, float):
        return value * 1.1 if value else 0.1
    return None


def _replacements(parent: ast.AST, field: str, node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Each change at a node: what it says, and what stands there afterwards."""
    if type(node) in _SWAPS and field in ("op", "ops"):
        swapped = _SWAPS[type(node)]()
        changed = copy.deepcopy(parent)
        if field == "op":
            changed.op = swapped  # type: ignore[attr-defined]
        yield f"{_source(parent)} -> operator {type(swapped).__name__}", swapped
    elif isinstance(node, ast.Constant) and field not in ("format_spec",):
        value = _number(node.value)
        if value is not None:
            yield f"{_source(parent)}: {node.value!r} -> {value!r}", ast.Constant(value)
    elif field in ("body", "orelse", "finalbody") and _droppable(node):
        yield f"dropped: {_source(node)}", ast.Pass()
    if field == "test" and isinstance(parent, (ast.If, ast.While, ast.IfExp)):
        yield f"negated: {_source(node)}", ast.UnaryOp(ast.Not(), node)  # type: ignore[arg-type]


def _droppable(node: ast.AST) -> bool:
    if not isinstance(node, _DROPPED):
        return False
    if isinstance(node, ast.Expr):
        return isinstance(node.value, (ast.Call, ast.Await))
    if isinstance(node, ast.Assign):
        return any(isinstance(target, (ast.Attribute, ast.Subscript)) for target in node.targets)
    return not isinstance(node, ast.Return) or node.value is None


def _changes(tree: ast.Module) -> Iterator[tuple[str, str, ast.AST, str, int | None, ast.AST]]:
    for function, whole in (*_functions(tree), *_constants(tree.body)):
        for parent, field, at, node in _parts(whole):
            for change, new in _replacements(parent, field, node):
                yield (
                    function,
                    change,
                    parent,
                    field,
                    at,
                    ast.copy_location(new, _placed(node, parent)),
                )


def _placed(node: ast.AST, parent: ast.AST) -> ast.AST:
    return node if hasattr(node, "lineno") else parent


def mutants(file: Path) -> list[Mutant]:
    """Every change there is for the functions of a file."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    return [
        Mutant(file, getattr(_placed(node, parent), "lineno", 0), function, change, at)
        for at, (function, change, parent, _, _, node) in enumerate(_changes(tree))
    ]


def changed_tree(mutant: Mutant) -> ast.Module:
    """The file's tree with the change in it."""
    tree = ast.parse(mutant.file.read_text(encoding="utf-8"))
    for at, (_, _, parent, field, place, new) in enumerate(_changes(tree)):
        if at == mutant.at:
            if place is None:
                setattr(parent, field, new)
            else:
                getattr(parent, field)[place] = new
            return ast.fix_missing_locations(tree)
    raise ValueError(f"{mutant.file} has changed since")
