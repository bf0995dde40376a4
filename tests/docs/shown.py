"""Finds what the program's own texts name: commands to type, modules to run, files to open."""

from __future__ import annotations

import ast
import io
import re
import shlex
import tokenize
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCUMENTS = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "safety.md")] + sorted(
    page for folder in ("hardware", "host", "firmware") for page in (ROOT / folder).glob("**/*.md")
)
_TEXT = {".cfg", ".csv", ".md", ".py", ".rules", ".service", ".sh", ".tcss", ".toml", ".txt"}
PROGRAM = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "safety.md", "pyproject.toml")]
PROGRAM += sorted(
    file
    for folder in ("firmware", "hardware", "host")
    for file in (ROOT / folder).glob("**/*")
    if file.suffix in _TEXT and "__pycache__" not in file.parts
)

_FENCED = re.compile(r"^ *(`{3,}|~{3,})[^\n]*\n(.*?)^ *\1", re.DOTALL | re.MULTILINE)
_COMMAND = re.compile(r"(?:^|[\s;&|(]|bin/)glossbath(?:\s|$)")
_IN_BACKTICKS = re.compile(r"(?<!`)`(glossbath [^`\n]+)`(?!`)")
_NAMED = re.compile(r"(?<![\w./-])glossbath (?=((?:--?)?[a-z][^`\"']*))")
_MODULE = re.compile(r"-m\s+(glossbath(?:_board)?(?:\.\w+)+)")
_CODE = re.compile(r"(?<!`)`([^`\n]+)`(?!`)")


def _typed_lines(block: str) -> list[str]:
    """The lines a person types; where some begin with a prompt the others are answers."""
    lines = block.replace("\\\n", " ").splitlines()
    prompted = [line.strip()[2:] for line in lines if line.strip().startswith("$ ")]
    return prompted or lines


def _commands(line: str) -> list[list[str]]:
    """The words after `glossbath` of each such command in one line of shell."""
    words = shlex.shlex(line, posix=True, punctuation_chars=True)
    words.whitespace_split = True
    found: list[list[str]] = []
    begins, ours = True, False
    for word in words:
        if set(word) <= set("();<>|&"):
            begins, ours = True, False
        elif ours:
            found[-1].append(word)
        elif begins and "=" not in word:
            begins, ours = False, word == "glossbath" or word.endswith("bin/glossbath")
            if ours:
                found.append([])
    return found


def in_a_document(text: str) -> list[list[str]]:
    """The words after `glossbath` of each command that a Markdown page shows."""
    lines = [line for match in _FENCED.finditer(text) for line in _typed_lines(match[2])]
    lines = [line for line in lines if _COMMAND.search(line)]
    typed = [words for line in lines for words in _commands(line)]
    # A sentence may name a command without its arguments; asking for its help leaves those out.
    named = _IN_BACKTICKS.findall(_FENCED.sub("", text))
    return typed + [[*words, "--help"] for line in named for words in _commands(line)]


def in_a_sentence(text: str) -> list[list[str]]:
    """The words after `glossbath` up to the next mark, of each command that a sentence names.

    The name in small letters is the command; the program itself is called Glossbath. What follows
    a whole command may be the rest of the sentence: asking for help leaves it out.
    """
    found = []
    for match in _NAMED.finditer(" ".join(text.split())):
        words = match[1].split(" ")
        last = next((at for at, word in enumerate(words) if word[-1:] in ".,:;!?)…"), len(words))
        ended = [*words[:last], *(word.rstrip(".,:;!?)…") for word in words[last : last + 1])]
        found.append([*takewhile(bool, ended), "--help"])
    return found


def _flat(node: ast.AST) -> str:
    """A string as a person would read it, X for each value that is put in."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if isinstance(node, ast.JoinedStr):
        return "".join(_flat(part) for part in node.values)
    return "X"


def texts(file: Path) -> Iterator[str]:
    """What a person reads of a file: strings and comments of code, all of any other."""
    text = file.read_text(encoding="utf-8")
    if file.suffix != ".py":
        yield from text.splitlines()
        return
    tree = ast.parse(text)
    parts = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    for node in ast.walk(tree):
        if isinstance(node, (ast.Constant, ast.JoinedStr)) and id(node) not in parts:
            yield _flat(node)
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.string


def modules(text: str) -> list[str]:
    """The modules that a text tells to run with `python -m`."""
    return _MODULE.findall(text)


def in_code(text: str) -> list[str]:
    """What a Markdown page sets as code: words between backticks, and the words of blocks."""
    blocks = [word for match in _FENCED.finditer(text) for word in match[2].split()]
    return [*_CODE.findall(_FENCED.sub("", text)), *blocks]
