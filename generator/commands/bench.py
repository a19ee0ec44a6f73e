"""`heelwright bench`: the page in the browser."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from generator.commands.refusal import refusals

NAME = "bench"
ORDER = 35
EXAMPLE = "heelwright bench orchestra-14"

#: What is confirmed before --lan opens the bench view to the network.
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
        if job is not None and Path(job).is_dir() and _is_class(Path(job)):
            _serve_class(Path(job), port, not no_browser, lan)
        else:
            _serve_job(job, shop, port, not no_browser, lan)


# The server is imported here, so that no other command loads it.


def _is_class(folder: Path) -> bool:
    from generator.page.classview import is_class

    return is_class(folder)


def _serve_job(job: str | None, shop: Path | None, port: int, browser: bool, lan: bool) -> None:
    """The page of a job; a phone is given the view for the bench."""
    from generator.page.app import application, warm_up
    from generator.page.serve import serve
    from generator.page.site import Site
    from generator.page.start import first_form

    site = Site(*first_form(job, shop))
    serve(
        lambda phone: application(replace(site, phone=phone)),
        (lambda: application(replace(site, bench_only=True))) if lan else None,
        port,
        browser,
        typer.echo,
        lambda: warm_up(site),
    )


def _serve_class(folder: Path, port: int, browser: bool, lan: bool) -> None:
    """The page of a class; a phone is given the whole of it, which is nothing but views for the bench."""
    from generator.page.classview import ClassSite, class_application
    from generator.page.serve import serve

    site = ClassSite(folder)
    bench = (lambda: class_application(site)) if lan else None
    serve(lambda phone: class_application(site), bench, port, browser, typer.echo, lambda: None)
