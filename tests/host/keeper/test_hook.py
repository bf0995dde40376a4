"""The command of the user's choice: what it is told, and that nothing it does harms the keeper."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.errors import InputError
from glossbath.keeper.hook import MOST_OUTPUT, MOST_WAITING, Hook, Occasion, command_words

TRIP = Occasion(
    "trip", "north", "lease", 'It said "no"; $HOME `x` was quiet.', True, "Dark", "/tmp/cycle"
)


def python(tmp_path: Path, source: str) -> str:
    """A command line that runs this source."""
    script = tmp_path / "a hook.py"
    script.write_text(source)
    return f"{sys.executable} '{script}' mine"


def run(command: str, *occasions: Occasion, limit_s: float = PATIENCE_S) -> tuple[list[str], str]:
    """Failures and log of a hook called for these occasions."""
    lines: list[str] = []
    hook = Hook(command, lines.append, limit_s)
    for occasion in occasions:
        hook.call(occasion)
    hook.close(PATIENCE_S)
    return hook.failures(), "\n".join(lines)


def test_command_gets_the_facts_as_arguments_and_variables(tmp_path: Path) -> None:
    source = "import os, sys; print(sys.argv[1:]); print(sorted(os.environ.items()))"
    failures, log = run(python(tmp_path, source), TRIP)
    assert failures == []
    assert str(["mine", "trip", "north", "lease", TRIP.text]) in log
    for name, value in TRIP.environment().items():
        assert str((name, value)) in log
    assert "('GLOSSBATH_VIRTUAL', '1')" in log


def test_no_shell_reads_the_sentence(tmp_path: Path) -> None:
    source = "import sys; print(len(sys.argv[-1]))"
    nasty = TRIP._replace(text="; touch /tmp/owned & $(touch /tmp/owned)")
    failures, log = run(python(tmp_path, source), nasty)
    assert failures == []
    assert log == str(len(nasty.text))


def test_a_command_that_takes_too_long_is_ended(tmp_path: Path) -> None:
    source = "import time; print('begun', flush=True); time.sleep(600)"
    failures, log = run(python(tmp_path, source), TRIP, limit_s=1.0)
    assert failures == ["it took longer than 1 s and was ended"]
    assert "hook: it took longer" in log


def test_what_a_command_started_ends_with_it(tmp_path: Path) -> None:
    # Script and child hold the pipe open for as long as they live: its end shows that both have
    # gone. A shell begins in milliseconds, whatever else the computer does.
    pipe, script = tmp_path / "pipe", tmp_path / "hook.sh"
    os.mkfifo(pipe)
    script.write_text(f"exec 9> '{pipe}'\nsleep 600 &\necho begun\nsleep 600\n")
    end = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        failures, log = run(f"/bin/sh '{script}'", TRIP, limit_s=3.0)
        assert failures == ["it took longer than 3 s and was ended"]
        assert "begun" in log
        os.set_blocking(end, True)
        assert os.read(end, 1) == b""
    finally:
        os.close(end)


def test_exit_codes_and_output_without_end(tmp_path: Path) -> None:
    source = "import sys\nfor _ in range(3000): print('x' * 100)\nsys.exit(3)"
    failures, log = run(python(tmp_path, source), TRIP)
    assert failures == ["exit code 3"]
    assert len(log) < 2 * MOST_OUTPUT


def test_a_command_that_closes_its_output_is_waited_for(tmp_path: Path) -> None:
    source = "import os, time; os.close(1); os.close(2); time.sleep(0.3); os._exit(4)"
    failures, _ = run(python(tmp_path, source), TRIP)
    assert failures == ["exit code 4"]


def test_calls_run_one_after_another_and_too_many_are_refused(tmp_path: Path) -> None:
    lines: list[str] = []
    hook = Hook(python(tmp_path, "import time; time.sleep(1)"), lines.append, 0.3)
    for _ in range(MOST_WAITING + 3):
        hook.call(TRIP)
    assert any("wait already" in failure for failure in hook.failures())


@pytest.mark.parametrize(
    ("command", "word"),
    [
        ("", "empty"),
        ("   ", "empty"),
        ("mail 'open", "cannot be split"),
        ("/nowhere/at-all now", "not found"),
        ("no-such-program-here", "not found"),
    ],
)
def test_a_command_that_cannot_be_run_is_refused_at_once(command: str, word: str) -> None:
    with pytest.raises(InputError) as refused:
        command_words(command)
    assert word in str(refused.value)
    assert str(refused.value).count("\n") == 0


def test_a_program_that_has_gone_since_is_a_failure_and_the_next_call_runs(tmp_path: Path) -> None:
    program = tmp_path / "prog"
    program.write_text(f"#!{sys.executable}\nprint('here')\n")
    program.chmod(0o755)
    lines: list[str] = []
    hook = Hook(str(program), lines.append, PATIENCE_S)
    hook.call(TRIP)
    hook.close(PATIENCE_S)
    program.rename(tmp_path / "away")
    hook.call(TRIP)
    hook.close(PATIENCE_S)
    assert len(hook.failures()) == 1
    (tmp_path / "away").rename(program)
    hook.call(TRIP)
    hook.close(PATIENCE_S)
    assert hook.failures() == []
    assert lines.count("here") == 2
