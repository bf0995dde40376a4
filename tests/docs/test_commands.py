"""Every `glossbath` command that the program or its documents name is one that it takes."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest
import typer.core
from shown import DOCUMENTS, PROGRAM, ROOT, in_a_document, in_a_sentence, modules, texts
from typer.testing import CliRunner

from glossbath.cli.app import app


@pytest.fixture
def parse_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """A command whose words were understood does nothing."""
    monkeypatch.setattr(typer.core.TyperCommand, "invoke", lambda self, context: None)


def refused(commands: list[list[str]]) -> dict[str, str]:
    """What the program says to each command that it does not take."""
    answers = {
        " ".join(["glossbath", *words]): CliRunner().invoke(app, words) for words in commands
    }
    return {line: answer.output for line, answer in answers.items() if answer.exit_code != 0}


@pytest.mark.usefixtures("parse_only")
@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_program_takes_every_command_shown(document: Path) -> None:
    assert refused(in_a_document(document.read_text(encoding="utf-8"))) == {}


@pytest.mark.usefixtures("parse_only")
def test_the_program_takes_every_command_that_its_own_texts_name() -> None:
    named: dict[tuple[str, ...], set[str]] = {}
    for file in PROGRAM:
        for words in (words for text in texts(file) for words in in_a_sentence(text)):
            named.setdefault(tuple(words), set()).add(str(file.relative_to(ROOT)))
    assert len(named) > 40, "the texts were not read"
    wrong = refused([list(words) for words in named])
    assert {line: named[tuple(line.split()[1:])] for line in wrong} == {}


def test_every_module_that_a_text_tells_to_run_is_there() -> None:
    told = {
        (str(file.relative_to(ROOT)), name)
        for file in PROGRAM
        for text in texts(file)
        for name in modules(text)
    }
    assert told, "the texts were not read"
    assert {(file, name) for file, name in told if importlib.util.find_spec(name) is None} == set()


FILE = re.compile(r"(?<![\w/.-])((?:hardware|firmware|host|tests)/[\w./-]*\w\.[a-z]+)")
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")


def test_every_file_that_a_text_sends_a_person_to_is_there() -> None:
    told = {
        (file, name) for file in PROGRAM for text in texts(file) for name in FILE.findall(text)
    }
    told |= {
        (document, name) for document in DOCUMENTS for name in FILE.findall(document.read_text())
    }
    assert len(told) > 40, "the texts were not read"
    assert {(file, name) for file, name in told if not (ROOT / name).exists()} == set()


def test_every_link_of_a_document_leads_somewhere() -> None:
    links = {
        (document, name)
        for document in DOCUMENTS
        for name in LINK.findall(document.read_text(encoding="utf-8"))
        if "://" not in name
    }
    assert len(links) > 10, "the documents were not read"
    assert {(page, name) for page, name in links if not (page.parent / name).exists()} == set()


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
    [words] = in_a_document(
        f"Text.\n\n```console\n$ .venv/bin/glossbath {wrong} | cat  # look\nout\n```\n"
    )
    assert words == wrong.split()
    assert refused([words])


@pytest.mark.usefixtures("parse_only")
@pytest.mark.parametrize(
    "sentence",
    [
        "Go on with glossbath nonsense.",
        "See glossbath log nonsense",
        "Run glossbath run --wrong 3.",
    ],
)
def test_a_wrong_command_in_a_sentence_would_be_noticed(sentence: str) -> None:
    assert refused(in_a_sentence(sentence))


@pytest.mark.usefixtures("parse_only")
def test_what_follows_a_command_in_a_sentence_is_not_taken_for_it() -> None:
    sentence = (
        "It runs on X: see it with glossbath attach --rig X, or (glossbath desk seed shows it)"
    )
    assert in_a_sentence(sentence) == [
        ["attach", "--rig", "X", "--help"],
        ["desk", "seed", "shows", "it", "--help"],
    ]
    assert refused(in_a_sentence(sentence)) == {}


def test_strings_of_code_are_read_as_a_person_reads_them(tmp_path: Path) -> None:
    file = tmp_path / "code.py"
    file.write_text(
        '# glossbath one\nwords = f"a {words} " "with glossbath " f"two --x {words}."\n'
    )
    found = [words for text in texts(file) for words in in_a_sentence(text)]
    assert found == [["two", "--x", "X", "--help"], ["one", "--help"]]


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
    assert in_a_document(text) == [["demo", "--plain"], ["rigs"], ["stop", "--rig", "a", "--help"]]
