"""The page and its own files. What it asks is answered by `handlers`, loaded once the page stands.

Nothing is kept between two requests, and no request names a file.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from functools import partial
from importlib import resources
from types import MappingProxyType, ModuleType
from typing import Any

import anyio
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

from generator import __version__
from generator.base.errors import HeelwrightError
from generator.base.units import MM_PER_INCH
from generator.classes.template import template_text
from generator.drawing.templates import environment
from generator.page.fields import GUIDED, groups, pickers
from generator.page.site import Site

#: Media type of a style sheet.
_CSS = "text/css"
#: Media type of a script.
_SCRIPT = "text/javascript"
#: The files of the view for the bench, each under the one name it can be asked by.
BENCH_FILES: Mapping[str, str] = MappingProxyType(
    {"page.css": _CSS, **dict.fromkeys(("core.js", "bench.js", "paper.js"), _SCRIPT)}
)
#: The files of the whole page.
PAGE_FILES: Mapping[str, str] = MappingProxyType(
    {
        **BENCH_FILES,
        **dict.fromkeys(
            (
                "form.js",
                "numbers.js",
                "pictures.js",
                "make.js",
                "making.js",
                "files.js",
                "classmake.js",
                "zip.js",
                "model.js",
                "viewer.js",
                "guided.js",
            ),
            _SCRIPT,
        ),
    }
)
#: The files of a class's page.
CLASS_FILES: Mapping[str, str] = MappingProxyType({"page.css": _CSS, "class.js": _SCRIPT})
#: What the table to start a class from is called.
TEMPLATE = "class.csv"
#: HTTP status "not found".
_MISSING = 404


def application(site: Site) -> Starlette:
    """The page's routes."""
    own = [] if site.bench_only else [Route(f"/{TEMPLATE}", _template)]
    return Starlette(
        routes=[
            Route("/", partial(_page, site)),
            Route("/static/{name}", partial(static, BENCH_FILES if site.bench_only else PAGE_FILES)),
            Route("/alive", alive),
            *own,
            Route("/{name:path}", partial(_asked, site), methods=["GET", "POST"]),
        ]
    )


def warm_up(site: Site) -> None:
    """Load what answers, and answer once what the page asks first, while the browser still begins."""
    answering = _handlers()
    with contextlib.suppress(HeelwrightError):  # the page will ask the same, and is told
        answering.answers.at_once(site.first, site.opened)


def _handlers() -> ModuleType:
    from generator.page import handlers

    return handlers


async def _asked(site: Site, request: Request) -> Response:
    """What the page asks, by POST alone: an address that is opened is the page's, or a file's, or nothing."""
    if request.method != "POST":
        return PlainTextResponse("No such page.", _MISSING)
    answering = await anyio.to_thread.run_sync(_handlers)
    answer: Response = await answering.answer(site, request.path_params["name"], request)
    return answer


async def _page(site: Site, request: Request) -> Response:
    text = (
        environment(escaped=True)
        .get_template("page/page.html.j2")
        .render(
            words=site.words["page"],
            ways=site.words["way"],
            sets=site.words["picture_set"],
            guided=GUIDED,
            data=_data(site),
            pickers=pickers(),
            groups=groups(),
            bench_only=site.bench_only,
            phone=bool(site.phone),
            table_template=TEMPLATE,
            of_class=site.of_class,
            to_class=site.words["class"]["back"],
            version=__version__,
        )
    )
    return HTMLResponse(text)


def _data(site: Site) -> dict[str, Any]:
    """What the page's program begins with."""
    words = {"words": site.words["page"], "numbers": site.words["number"]}
    return words | {"first": site.first.content(), "inch": MM_PER_INCH}


async def static(files: Mapping[str, str], request: Request) -> Response:
    """One of a page's own files."""
    name = request.path_params["name"]
    if name not in files:
        return PlainTextResponse("No such file.", _MISSING)
    data = resources.files("generator.page").joinpath("static", name).read_bytes()
    return Response(data, media_type=files[name])


async def alive(request: Request) -> Response:
    """Says that the server is there."""
    return PlainTextResponse("yes")


async def _template(request: Request) -> Response:
    """The table to start a class from."""
    return Response(template_text(), media_type="text/csv")
