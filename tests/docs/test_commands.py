"""Every `glossbath` command that the documents show is one that the program takes."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
import typer.core
from typer.testing import CliRunner

from glossbath.cli.app import app

ROOT = Path(__file__).parents[2]
DOCUMENTS = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "safety.md")] + sorted(
    page for folder in ("hardware", "host") for page in (ROOT / folder).glob("**/*.md")
)

FENCED = re.compile(r"^ *(`{3,}|~{3,})[^\n]*\n(.*?)^ *\1", re.DOTALL | re.MULTILINE)
COMMAND = re.compile(r"(?:^|[\s;&|(]|bin/)glossbath(?:\s|$)")
IN_A_SENTENCE = re.compile(r"(?<!`)`(glossbath [^`\n]+)`(?!`)")


def typed_lines(block: str) -> list[str]:
    """The lines a person types; where some begin with a prompt the others are answers."""
    lines = block.replace("\\\n", " ").splitlines()
    prompted = [line.strip()[2:] for line in lines if line.strip().startswith("$ ")]
    return prompted or lines


def commands(line: str) -> list[list[str]]:
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


def shown_in(text: str) -> list[list[str]]:
    lines = [line for match in FENCED.finditer(text) for line in typed_lines(match[2])]
    lines = [line for line in lines if COMMAND.search(line)]
    typed = [words for line in lines for words in commands(line)]
    # A sentence may name a command without its arguments; asking for its help leaves those out.
    named = IN_A_SENTENCE.findall(FENCED.sub("", text))
    return typed + [[*words, "--help"] for line in named for words in commands(line)]


@pytest.fixture
def parse_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """A command whose words were understood does nothing."""
    monkeypatch.setattr(typer.core.TyperCommand, "invoke", lambda self, context: None)


@pytest.mark.usefixtures("parse_only")
@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_program_takes_every_command_shown(document: Path) -> None:
    refused = {}
    for words in shown_in(document.read_text(encoding="utf-8")):
        answer = CliRunner().invoke(app, words)
        if answer.exit_code != 0:
            refused[" ".join(["glossbath", *words])] = answer.output
    assert not refused


@pytest.mark.usefixtures("parse_only")
@pytest.mark.parametrize(
    "wrong",
    [
        "nonsense",
        "demo --nonsense",
        "run",
        "log nonsense",
        "nonsense --help",
        "run --wrong --help",
    ],
)
def test_a_wrong_command_in_a_document_would_be_noticed(wrong: str) -> None:
    [words] = shown_in(
        f"Text.\n\n```console\n$ .venv/bin/glossbath {wrong} | cat  # look\nout\n```\n"
    )
    assert words == wrong.split()
    assert CliRunner().invoke(app, words).exit_code != 0


def test_commands_are_found_however_they_are_written() -> None:
    text = """Use `glossbath stop --rig a`, never `glossbath`.

```
NO_COLOR=1 glossbath demo \\
    --plain && glossbath rigs > file
cd glossbath
host/glossbath/   what's on the computer
host/glossbath
```
"""
    assert shown_in(text) == [["demo", "--plain"], ["rigs"], ["stop", "--rig", "a", "--help"]]
