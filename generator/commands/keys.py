"""`heelwright keys`: each key of a job file, what it allows and means, from the model; and the trade's terms."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Annotated

import typer

from generator.base.errors import Fault, InputError
from generator.commands.refusal import COMMAND_LINE, refusals
from generator.job.glossary import TERMS
from generator.job.model.field_types import shown, toml_text
from generator.page.fields import Field, all_fields
from generator.page.form import default_of

NAME = "keys"
ORDER = 25
EXAMPLE = "heelwright keys instrument"

_GLOSSARY = "terms"
_WIDTH = 100


def run(
    table: Annotated[str | None, typer.Argument(help="A table such as instrument; terms for the glossary.")] = None,
) -> None:
    """List every key of a job file: what it allows, its default, what it means and where it is measured."""
    with refusals():
        known = list(dict.fromkeys(_table(field) for field in all_fields().values()))
        if table is not None and table not in (*known, _GLOSSARY):
            allowed = ", ".join((*known, _GLOSSARY))
            raise InputError([Fault(COMMAND_LINE, "TABLE", shown(table), f"one of {allowed}")])
        lines = [line for name in known if table in (None, name) for line in _listed(name)]
        typer.echo("\n".join([*lines, *(_terms() if table in (None, _GLOSSARY) else ())]))


def _table(field: Field) -> str:
    return field.key.rpartition(".")[0]


def _listed(table: str) -> Iterator[str]:
    yield f"[{table}]"
    for field in all_fields().values():
        if _table(field) == table:
            yield from _told(field)
    yield ""


def _told(field: Field) -> Iterator[str]:
    """The key with its range and default, then its meaning."""
    default = default_of(field.key)
    word = "needed" if field.needed and not field.only else "may be left out"
    only = f"only with {field.only}; " if field.only else ""
    rest = f"default {toml_text(default)}" if default is not None else word
    yield from _wrapped(f"{field.key.rpartition('.')[2]}: {field.kind.allowed}; {only}{rest}", 2)
    yield from _wrapped(f"{field.label}. {field.about}".strip(), 6)


def _terms() -> Iterator[str]:
    yield "Terms"
    for term, sentence in TERMS.items():
        yield from _wrapped(f"{term}: {sentence}", 2)


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2))
