"""`heelwright bench`: the page in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from generator.commands.refusal import refusals

NAME = "bench"
ORDER = 35
EXAMPLE = "heelwright bench orchestra-14"

_WARNING = (
    "--lan lets every device in your network that has the address open the bench view of this computer, without "
    "encryption. Do it in a network you trust only."
)


def run(
    job: Annotated[
        str | None, typer.Argument(help="A job file or the name of a ready job to begin with, or a class's folder.")
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, metavar="N", help="Port; a free one unless told.")] = 0,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address; open no browser.")] = False,
    lan: Annotated[
        bool, typer.Option("--lan", help="After a warning, serve the bench view to a phone in your network too.")
    ] = False,
    shop: Annotated[Path | None, typer.Option(metavar="FILE", help="The shop file; else shop.toml.")] = None,
) -> None:
    """Open the bench page in the browser: see a job, change it, make it, correct it."""
    with refusals():
        if lan:
            typer.confirm(f"{_WARNING} Go on?", abort=True, err=True)
        # Imported here, so that no other command loads the server.
        from generator.page.app import Site
        from generator.page.classview import ClassSite, is_class
        from generator.page.serve import serve
        from generator.page.start import first_form

        site: Site | ClassSite
        if job is not None and is_class(Path(job)):
            site = ClassSite(Path(job))
        else:
            opened, first = first_form(job, shop)
            site = Site(opened, first)
        serve(site, port, not no_browser, lan, lambda line: typer.echo(line))
