"""`heelwright presets`: what is in the library, and what each of its numbers rests on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Annotated

import typer

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.commands.refusal import refusals
from generator.job.model.field_types import shown
from generator.job.presets import Preset, PresetKind, find_preset, list_presets, read_text, references, sourced_lines

NAME = "presets"
ORDER = 20
EXAMPLE = "heelwright presets routers inch-half"


def run(
    kind: Annotated[
        str | None, typer.Argument(help="instruments, routers, stock, jigs or jobs; or a preset's own name.")
    ] = None,
    name: Annotated[str | None, typer.Argument(help="A preset of that kind, to print with its sources.")] = None,
) -> None:
    """List presets, or print one with its sources."""
    with refusals():
        if kind is None:
            lines = [line for every in PresetKind for line in ("", every.value, *_listed(list_presets(every)))][1:]
        elif name is None:
            lines = _of_kind_or_name(kind)
        else:
            lines = printed(find_preset(_kind(kind), name))
        typer.echo("\n".join(lines))


def _of_kind_or_name(text: str) -> list[str]:
    """The presets of a kind; for a preset's own name, which says its kind where only one has it, that preset."""
    if text in {kind.value for kind in PresetKind}:
        return _listed(list_presets(_kind(text)))
    named = [preset for kind in PresetKind for preset in list_presets(kind) if preset.name == text]
    if len(named) == 1:
        return printed(named[0])
    if named:
        lines = " or ".join(f"heelwright presets {preset.kind.value} {text}" for preset in named)
        found = f"{shown(text)}, the name of {len(named)} presets"
        raise InputError([Fault(COMMAND_LINE, "KIND", found, f"the kind before it: {lines}")])
    return _listed(list_presets(_kind(text)))


def _kind(text: str) -> PresetKind:
    for kind in PresetKind:
        if kind.value == text:
            return kind
    known = ", ".join(kind.value for kind in PresetKind)
    raise InputError([Fault(COMMAND_LINE, "KIND", shown(text), f"one of {known}, or a preset's name")])


def _listed(presets: Iterable[Preset]) -> list[str]:
    return [f"  {preset.name:<26} {_title(preset)}".rstrip() for preset in presets]


def _title(preset: Preset) -> str:
    try:
        raw = preset.tables()
    except InputError:
        return "(cannot be read)"
    title = raw.get("title")
    return title if isinstance(title, str) else _first_comment(preset)


def _first_comment(preset: Preset) -> str:
    """A ready job is a plain job file, without a title: its first comment says what it is."""
    match = re.match(r"#\s*(.*)", read_text(preset))
    return match[1].strip() if match else ""


def printed(preset: Preset) -> list[str]:
    """The preset as its file has it, followed by every source its numbers name. InputError when it is no TOML."""
    preset.tables()
    text = read_text(preset)
    lines = [f"# {preset.shown_as}", *text.rstrip("\n").split("\n")]
    refs = sorted({ref for line in sourced_lines(text) for ref in line.refs})
    if refs:
        known = references()
        lines += ["", "# Sources"]
        lines += [f"# {known[ref]}" if ref in known else f"# ref {ref}: not in the reference list" for ref in refs]
    if any(line.common for line in sourced_lines(text)):
        lines += [] if refs else ["", "# Sources"]
        lines += ["# common practice: what the trade does; no published source"]
    return lines
