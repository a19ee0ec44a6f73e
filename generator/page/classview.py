"""A class on the page: who has cut what, told anew when a log changes, and every student's own view at the bench.

Nothing is kept between two requests but what the page itself says it has; no request names a file: a student's job
is looked up among those of the class. Writing goes the way of every bench view: into the log beside the job.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import anyio
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.types import Receive, Scope, Send

from generator import __version__
from generator.base.errors import Fault, HeelwrightError
from generator.classes.folder import JOBS, RECORD, class_state, read_record
from generator.drawing.templates import environment
from generator.page.app import CLASS_FILES, alive, application, static
from generator.page.site import Site
from generator.page.start import first_form
from generator.page.words import catalogue

#: HTTP status of a job that is refused.
_REFUSED = 422
#: HTTP status where the page has the rows already.
_UNCHANGED = 204
#: HTTP status where the class has no such job.
_MISSING = 404


@dataclass(frozen=True)
class ClassSite:
    """The folder of a class that is served, and the page's words."""

    folder: Path
    words: Mapping[str, Any] = field(default_factory=catalogue)


def is_class(folder: Path) -> bool:
    """True where `folder` is a class that heelwright class made. InputError for a damaged one."""
    return folder.is_dir() and read_record(folder) is not None


def class_application(site: ClassSite) -> Starlette:
    """The class's routes: its page, its rows, and under each student's job the view for the bench."""
    return Starlette(
        routes=[
            Route("/", partial(_page, site)),
            Route("/rows", partial(_rows, site)),
            Route("/static/{name}", partial(static, CLASS_FILES)),
            Route("/alive", alive),
            Mount("/students/{job}", app=_Benches(site)),
        ]
    )


class _Benches:
    """Each student's view at the bench, made anew for every request from the job as it stands."""

    def __init__(self, site: ClassSite) -> None:
        self.site = site

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer = await anyio.to_thread.run_sync(_bench, self.site, scope["path_params"]["job"])
        await answer(scope, receive, send)


def _bench(site: ClassSite, job: str) -> Starlette | Response:
    try:
        record = read_record(site.folder)
        if record is None or job not in {pupil.job for pupil in record.pupils}:
            return PlainTextResponse(site.words["class"]["nobody"], _MISSING)
        opened, form = first_form(str(site.folder / JOBS / f"{job}.toml"))
    except HeelwrightError as error:
        return PlainTextResponse(str(error), _REFUSED)
    return application(Site(opened, form, bench_only=True, of_class=True, words=site.words))


async def _page(site: ClassSite, request: Request) -> Response:
    return await anyio.to_thread.run_sync(_answer, site, "page/class.html.j2")


async def _rows(site: ClassSite, request: Request) -> Response:
    """The rows, or nothing where they are what the page has already."""
    if request.query_params.get("mark") == await anyio.to_thread.run_sync(_mark, site.folder):
        return Response(status_code=_UNCHANGED)
    return await anyio.to_thread.run_sync(_answer, site, "page/class_rows.html.j2")


def _answer(site: ClassSite, template: str) -> Response:
    """The page, or its rows; what keeps the class from being read is said in the rows' place."""
    mark = _mark(site.folder)  # before the logs are read: a line written meanwhile is shown the next time
    state, faults = None, list[Fault]()
    try:
        state = class_state(site.folder)
    except HeelwrightError as error:
        faults = list(getattr(error, "faults", ())) or [Fault(str(site.folder), "", str(error), "")]
    text = (
        environment(escaped=True)
        .get_template(template)
        .render(
            words=site.words["class"],
            lost=site.words["page"]["lost"],
            state=state,
            mark=mark,
            name=state.name if state else site.folder.name,
            faults=[str(one) for one in faults],
            version=__version__,
        )
    )
    return HTMLResponse(text)


def _mark(folder: Path) -> str:
    """A mark of everything that the rows are made of: changed with the record, any job and any log."""
    found = []
    for path in sorted([folder / RECORD, *(folder / JOBS).glob("*.toml")]):
        try:
            about = path.stat()
        except OSError:
            continue
        found.append(f"{path.name} {about.st_mtime_ns} {about.st_size}")
    return hashlib.sha256("\n".join(found).encode()).hexdigest()[:16]
