"""A changed function in place of the real one, in this process; or a changed tree beside it."""

from __future__ import annotations

import ast
import functools
import gc
import os
import re
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
        if isinstance(function, _CACHED):
            function.cache_clear()  # it may hold what the unchanged function gave
        if type(function) is FunctionType and function.__code__.co_filename == str(mutant.file):
            old = function.__code__
            new = codes.get((old.co_qualname, old.co_firstlineno))
            if new is not None and new.co_freevars == old.co_freevars and new != old:
                function.__code__ = new
                exchanged = True
            if old.co_firstlineno in defaults:
                exchanged = _give_defaults(function, defaults[old.co_firstlineno]) or exchanged
    return exchanged


_CACHED = type(functools.cache(len))
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


class Tree:
    """A copy of the whole tree beside this one, in which a file can be changed."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="glossbath-mutate-")
        self._top = Path(self._folder.name)
        for name in ("firmware", "host", "hardware", "tests"):
            compiled = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, self._top / name, ignore=compiled)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "safety.md"):
            shutil.copy(ROOT / name, self._top / name)
        self._fails_unchanged: set[str] = set()

    def close(self) -> None:
        """Remove the copy."""
        self._folder.cleanup()

    def survives(self, mutant: Mutant, tests: Sequence[str], most_s: float) -> bool:
        """Whether these tests pass with the change; one that fails without it too is left out."""
        file = self._top / mutant.file.relative_to(ROOT)
        text = file.read_text(encoding="utf-8")
        try:
            while True:
                file.write_text(ast.unparse(changed_tree(mutant)) + "\n", encoding="utf-8")
                failed = self._first_failure(tests, most_s)
                if failed is None:
                    return True
                file.write_text(ast.unparse(ast.parse(text)) + "\n", encoding="utf-8")
                if failed == "" or self._first_failure([failed], most_s) is None:
                    return False
                self._fails_unchanged.add(failed)
        finally:
            file.write_text(text, encoding="utf-8")

    def _first_failure(self, tests: Sequence[str], most_s: float) -> str | None:
        """The first test that fails; "" where the run itself did (hung, not to be imported)."""
        path = os.pathsep.join((str(self._top / "host"), str(self._top / "firmware")))
        words = [sys.executable, "-m", "pytest", "-x", "-o", "addopts=--import-mode=importlib"]
        left_out = [f"--deselect={name}" for name in self._fails_unchanged]
        try:
            run = subprocess.run(
                [*words, "-q", "-rfE", "-p", "no:cacheprovider", *left_out, *tests],
                cwd=self._top,
                env={**os.environ, "PYTHONPATH": path, "CI": "1", "PYTHONDONTWRITEBYTECODE": "1"},
                capture_output=True,
                check=False,
                timeout=most_s,
                text=True,
            )
        except subprocess.TimeoutExpired:
            return ""
        if run.returncode in (0, _NO_TEST_LEFT):
            return None
        return _named(run.stdout)


def _named(output: str) -> str:
    """The last test that pytest's own summary names; "" where it names none."""
    for line in reversed(output.splitlines()):
        word, _, rest = line.partition(" ")
        if word in ("FAILED", "ERROR") and "::" in rest:
            # What it was tried with may have blanks; the reason follows after " - ".
            found = re.match(r"([^\[ ]+(?:\[.*?\](?= - |$))?)", rest)
            return found[1] if found else ""
    return ""


_NO_TEST_LEFT = 5
"""pytest's exit code where everything was left out."""
