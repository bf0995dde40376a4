"""A group of commands in which every refusal is one sentence on stderr and an exit code."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer
from typer.core import TyperGroup

from glossbath.errors import GlossbathError, quoted

from .terminal import print_json

UsageError: Any = typer.BadParameter.__mro__[1]
"""Typer's own error for a wrong option; it has no public name of its own."""

_KINDS: dict[Any, str] = {float: "NUMBER", int: "NUMBER", str: "WORD", Path: "PATH"}


class SentenceGroup(TyperGroup):
    """Runs a command; wrong options and refused input end in one sentence."""

    def get_params(self, ctx: Any) -> Any:
        """The group's own options, and its commands' too, each with its kind of value in words."""
        _describe(self, ctx)
        return super().get_params(ctx)

    def parse_args(self, ctx: Any, args: list[str]) -> Any:
        """Read the group's own options. Exits with code 2 for a wrong one."""
        as_json = "--json" in args
        try:
            return super().parse_args(ctx, args)
        except UsageError as error:
            raise _misused(error, as_json) from None

    def invoke(self, ctx: Any) -> Any:
        """Run the command that was asked for. Exits with the error's code, 2 for input."""
        as_json = "--json" in ctx.args  # not yet taken by the command
        try:
            return super().invoke(ctx)
        except GlossbathError as error:
            raise _refused(str(error), error.exit_code, as_json) from None
        except UsageError as error:
            raise _misused(error, as_json) from None


def _describe(command: Any, ctx: Any) -> None:
    """Let the help of a command, and of all below it, name a value as a person would: a switch
    takes none, and nobody types a <str>."""
    help_option = command.get_help_option(ctx)
    for parameter in [*command.params, *([help_option] if help_option else [])]:
        if parameter.param_type_name == "argument":
            parameter.display_type_rich = _unnamed
        elif parameter.metavar is None:
            described = getattr(parameter, "type_descriptor", None)
            kind = getattr(described, "annotation", None)
            parameter.metavar = "" if parameter.is_flag else _KINDS.get(kind)
    for below in getattr(command, "commands", {}).values():
        _describe(below, ctx)


def _unnamed(**_: Any) -> None:
    """An argument's name says what it is."""


def _misused(error: Any, as_json: bool) -> typer.Exit:
    # A group without a command has shown its help already and says nothing more.
    sentence = error.format_message()
    return _refused(_usage(error), 2, as_json) if sentence else typer.Exit(0)


def _refused(sentence: str, exit_code: int, as_json: bool) -> typer.Exit:
    """The sentence for a person and, where a program asked, the same as one JSON object."""
    if as_json:
        print_json({"error": sentence, "exit_code": exit_code})
    typer.echo(f"glossbath: {sentence}", err=True)
    return typer.Exit(exit_code)


def _usage(error: Any) -> str:
    """A wrong option as one sentence: what was given, what may be given, where to look."""
    parameter = getattr(error, "param", None)
    wrong: list[dict[str, Any]] = getattr(error.__cause__, "errors", list)()
    if parameter is not None and wrong:
        return _wrong_value(parameter, wrong[0])
    sentence = " ".join(error.format_message().split()).rstrip(".")
    return f"{sentence}: see {error.ctx.command_path} --help." if error.ctx else f"{sentence}."


def _wrong_value(parameter: Any, wrong: dict[str, Any]) -> str:
    """What is wrong with the value of an option or argument."""
    given, name = str(wrong["input"]), (parameter.opts or [parameter.name])[0]
    if wrong["type"] in ("float_parsing", "int_parsing"):
        what = "whole number" if wrong["type"] == "int_parsing" else "number"
        point = ": write a point in place of the comma" if "," in given else ""
        return f"{quoted(given)} is not a {what} for {name}{point}."
    reason = str(wrong["msg"]).removeprefix("Value error, ").rstrip(".")
    return f"{name}: {reason}." if given in reason else f"{name}: {quoted(given)}, {reason}."
