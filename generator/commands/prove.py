"""`heelwright prove`: re-reads a kit's written files and answers whether the joint they make is the one asked for."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir
from typing import TYPE_CHECKING, Annotated

import typer

from generator.base.errors import OutputError
from generator.base.plain_text import plain, shortened
from generator.commands.refusal import REFUSED, echo_json, refusals
from generator.kit.report import passed

if TYPE_CHECKING:
    from generator.job.shop import Shop
    from generator.joint.solution import Check
    from generator.proof.verdict import Proof

NAME = "prove"
ORDER = 45
EXAMPLE = "heelwright prove kits/orchestra-14"

#: Width of the report, in characters.
_WIDTH = 80
#: Width of the table's column for the status, in characters.
_STATUS = 6
#: Width of the table's column for the check's name, in characters.
_CHECK = 34
#: Width of the table's column for the value found, in characters.
_VALUE = 11
#: Of one check so many signs are told.
_LONGEST = 1000
#: The groups of checks, by the beginning of their names, in the order of the report.
_GROUPS = {
    "cut": "What the template cuts",
    "jig": "What the jig sets and carries",
    "fit": "The joint put together",
    "files": "The files against each other",
    "error": "What errors may do to the gap",
}


def run(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A kit's folder, as make wrote it.")],
    every_check: Annotated[bool, typer.Option("--all", help="List every check, not only what to mind.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    shop: Annotated[Path | None, typer.Option(metavar="FILE", help="The shop file; else shop.toml.")] = None,
    picture: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the joint as the plate cuts it into this SVG file.")
    ] = None,
) -> None:
    """Re-read a kit's written files and cut the joint virtually."""
    with refusals(as_json):
        measured = _shop(shop, folder)
        proof = _proof(folder, measured)
        if picture is not None:
            _draw(folder, measured, picture)
        if as_json:
            from generator.jig.results import checks_list

            echo_json({"ok": proof.ok, "checks": checks_list(proof.checks)})
        else:
            typer.echo("\n".join(report(folder.resolve().name, proof, every_check=every_check)))
    if not proof.ok:
        raise typer.Exit(REFUSED)


def _proof(folder: Path, shop: Shop | None) -> Proof:
    """The kit proved from its files, and at the same time drawn anew."""
    # Imported here, so that the help of a command loads no geometry.
    from generator.kit.anew import anew_checks
    from generator.kit.crew import Task, crew_of, processors
    from generator.proof.prove import prove_folder
    from generator.proof.verdict import Proof

    with drawing_room() as room, crew_of(min(2, processors())) as crew:
        tasks = [Task("", prove_folder, (folder, shop)), Task("", anew_checks, (folder, room))]
        proof, anew = crew.do_all(tasks)
    return Proof((*proof.checks, *anew))


@contextmanager
def drawing_room() -> Iterator[Path]:
    """An empty folder for what is drawn only to be compared; it is gone afterwards."""
    try:
        with TemporaryDirectory(prefix="heelwright-") as room:
            yield Path(room)
    except OSError as error:
        raise OutputError(
            f"{gettempdir()}: nothing can be drawn there to compare ({error.strerror or error})"
        ) from error


def _shop(given: Path | None, folder: Path) -> Shop | None:
    """The shop file named, else the one beside the kit or in the working folder; None without one."""
    from generator.job.shop import find_shop_file, read_shop

    path = given or find_shop_file(folder.resolve().parent)
    return None if path is None else read_shop(path)


def _draw(folder: Path, shop: Shop | None, picture: Path) -> None:
    from generator.base.atomic_file import write_atomically
    from generator.formats.svg.write import svg_text
    from generator.proof.cut.cut_picture import cut_picture
    from generator.proof.kit_files import open_kit
    from generator.proof.prove import prove_template_of

    template = prove_template_of(folder, shop)
    if template is None or not template.cuts:
        raise OutputError(f"{picture}: no cut could be made from {folder}, so there is nothing to draw")
    write_atomically(picture, svg_text(cut_picture(template, open_kit(folder).results, folder.resolve().name)))


def report(name: str, proof: Proof, *, every_check: bool = False) -> list[str]:
    """The proof in words: the verdict, what to mind, and with `every_check` each check, at most 80 columns wide.

    Words out of the kit's files are nobody's: their signs that are not seen are written out, long ones are cut.
    """
    if not proof.ok:
        verdict = "NOT the joint that was asked for"
    elif any(check.name.startswith("fit:") for check in proof.checks):
        verdict = "the files make the joint that was asked for"
    else:
        verdict = "NOT proved: without cutting files nothing was cut; what there is agrees"
    lines = [*_wrapped(f"{name}: ", f"{verdict} ({passed(proof.checks)})"), "=" * _WIDTH]
    for word, checks in (("FAILS", proof.failed), ("warning", proof.warned)):
        for check in checks:
            lines += _wrapped(f"{word}: {check.name}: ", f"{check.found}, {check.allowed}: {check.message}")
    if not every_check:
        return [*lines, "Every check, one by one: the same command with --all"]
    for group, title in _GROUPS.items():
        rows = [check for check in proof.checks if check.name.startswith(f"{group}:")]
        if rows:
            lines += ["", title, "-" * len(title), *_table(rows, len(group) + 2)]
    return lines


def _table(checks: Sequence[Check], prefix: int) -> Iterator[str]:
    yield f"{'':<{_STATUS + _CHECK}}{'found':>{_VALUE}}  allowed"
    for check in checks:
        lead = f"{check.status.value:<{_STATUS}}{check.name[prefix:]:<{_CHECK}}"
        yield plain(shortened(f"{lead}{check.found:>{_VALUE}}  {check.allowed}", _LONGEST))


def _wrapped(lead: str, text: str) -> list[str]:
    return textwrap.wrap(plain(lead + shortened(text, _LONGEST)), _WIDTH, subsequent_indent="    ")
