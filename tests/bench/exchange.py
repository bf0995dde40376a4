"""A changed function in place of the real one, in this process; or a changed tree beside it."""

from __future__ import annotations

import ast
import gc
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from mutations import MODULE, Mutant, changed_tree

ROOT = Path(__file__).parents[2]


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield from _codes(part)


def exchange(mutant: Mutant) -> bool:
    """Let every function of the changed file run its changed text from now on; whether that
    changed any."""
    if mutant.function == MODULE:
        return False
    tree = changed_tree(mutant)
    compiled = compile(tree, str(mutant.file), "exec")
    codes = {(code.co_qualname, code.co_firstlineno): code for code in _codes(compiled)}
    defaults = _changed_defaults(tree, ast.parse(mutant.file.read_text(encoding="utf-8")))
    exchanged = False
    for function in gc.get_objects():
        if type(function) is FunctionType and function.__code__.co_filename == str(mutant.file):
            old = function.__code__
            new = codes.get((old.co_qualname, old.co_firstlineno))
            if new is not None and new.co_freevars == old.co_freevars and new != old:
                function.__code__ = new
                exchanged = True
            if old.co_firstlineno in defaults:
                exchanged = _give_defaults(function, defaults[old.co_firstlineno]) or exchanged
    return exchanged


_Function = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda


def _changed_defaults(changed: ast.Module, whole: ast.Module) -> dict[int, ast.arguments]:
    """The arguments of functions whose defaults differ, by the function's first line."""

    def found(tree: ast.Module) -> dict[int, ast.arguments]:
        functions = (node for node in ast.walk(tree) if isinstance(node, _Function))
        return {
            min([it.lineno, *(one.lineno for one in getattr(it, "decorator_list", []))]): it.args
            for it in functions
        }

    before = found(whole)
    return {
        line: args
        for line, args in found(changed).items()
        if line in before and ast.dump(args) != ast.dump(before[line])
    }


def _give_defaults(function: FunctionType, args: ast.arguments) -> bool:
    """Compute the defaults anew where the function lives; False where that needs more than its
    module."""

    def value(node: ast.expr) -> Any:
        return eval(compile(ast.Expression(node), "<default>", "eval"), function.__globals__)

    names = [arg.arg for arg in args.kwonlyargs]
    if list(function.__kwdefaults__ or {}) != [
        name for name, node in zip(names, args.kw_defaults, strict=True) if node is not None
    ]:
        return False
    try:
        plain = tuple(value(node) for node in args.defaults)
        named = {
            name: value(node)
            for name, node in zip(names, args.kw_defaults, strict=True)
            if node is not None
        }
    except Exception:
        return False
    function.__defaults__ = plain or None
    function.__kwdefaults__ = named or None
    return True


def survives_in_a_tree(mutant: Mutant, tests: Sequence[str], most_s: float) -> bool:
    """Whether these tests pass with the change written into a copy of the tree."""
    with tempfile.TemporaryDirectory(prefix="glossbath-mutate-") as folder:
        top = Path(folder)
        for name in ("firmware", "host", "hardware", "tests"):
            shutil.copytree(ROOT / name, top / name, ignore=shutil.ignore_patterns("__pycache__"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "safety.md"):
            shutil.copy(ROOT / name, top / name)
        file = top / mutant.file.relative_to(ROOT)
        file.write_text(ast.unparse(changed_tree(mutant)) + "\n", encoding="utf-8")
        path = os.pathsep.join((str(top / "host"), str(top / "firmware")))
        words = [sys.executable, "-m", "pytest", "-x", "-o", "addopts=--import-mode=importlib"]
        try:
            run = subprocess.run(
                [*words, "-q", *tests],
                cwd=top,
                env={**os.environ, "PYTHONPATH": path, "CI": "1"},
                capture_output=True,
                check=False,
                timeout=most_s,
            )
        except subprocess.TimeoutExpired:
            return False  # hung
    return run.returncode == 0
