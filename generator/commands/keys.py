"""`heelwright keys`: each key, what it allows and means, from the model; and the trade's terms."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Annotated

import typer

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.plain_text import LINE_WIDTH
from generator.commands.refusal import refusals
from generator.job.glossary import TERMS
from generator.job.keys import ELSEWHERE, Key, all_keys
from generator.job.model.field_types import shown, toml_text

NAME = "keys"
ORDER = 25
EXAMPLE = "heelwright keys instrument"

#: What stands in a table's place to list the glossary.
_GLOSSARY = "terms"


def run(
    table: Annotated[str | None, typer.Argument(help="A table such as instrument; terms for the glossary.")] = None,
) -> None:
    """List every key of a job, a stock preset and the shop's printer: range, default, meaning, where it is measured."""
    with refusals():
        known = list(dict.fromkeys(key.table for key in all_keys().values()))
        if table is not None and table not in (*known, _GLOSSARY):
            allowed = ", ".join((*known, _GLOSSARY))
            raise InputError([Fault(COMMAND_LINE, "TABLE", shown(table), f"one of {allowed}")])
        lines = [line for name in known if table in (None, name) for line in _listed(name)]
        typer.echo("\n".join([*lines, *(_terms() if table in (None, _GLOSSARY) else ())]))


def _listed(table: str) -> Iterator[str]:
    yield f"[{table}] in {ELSEWHERE[table]}" if table in ELSEWHERE else f"[{table}]"
    for key in all_keys().values():
        if key.table == table:
            yield from _told(key)
    yield ""


def _told(key: Key) -> Iterator[str]:
    """The key with its range and default, then its meaning."""
    word = "needed" if key.needed and (not key.only or key.table == "joint") else "may be left out"
    only = f"only with {key.only}; " if key.only else ""
    rest = f"default {toml_text(key.default)}" if key.default is not None else word
    yield from _wrapped(f"{key.bare}: {key.kind.allowed}; {only}{rest}", 2)
    yield from _wrapped(f"{key.meaning.label}. {key.meaning.sentence}", 6)


def _terms() -> Iterator[str]:
    yield "Terms"
    for term, sentence in TERMS.items():
        yield from _wrapped(f"{term}: {sentence}", 2)


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, LINE_WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2))
