"""The page's addresses and what answers each. Nothing is kept between two requests, and no request names a file."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from importlib import resources
from typing import Any

import anyio
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from generator import __version__
from generator.base.errors import Fault, HeelwrightError, InputError
from generator.base.strict_json import parse_json
from generator.base.units import MM_PER_INCH
from generator.drawing.templates import environment
from generator.joint.stations import Use
from generator.page import answers
from generator.page.fields import groups, pickers
from generator.page.form import PAGE, Form, Opened, job_of, opened_form, read_form
from generator.page.guard import MOST_BODY
from generator.page.kit import made_kit
from generator.page.words import catalogue

#: The page's own files, each under the one name it can be asked by.
_STATIC = {
    "page.css": "text/css",
    "core.js": "text/javascript",
    "form.js": "text/javascript",
    "numbers.js": "text/javascript",
    "pictures.js": "text/javascript",
    "make.js": "text/javascript",
    "zip.js": "text/javascript",
    "bench.js": "text/javascript",
    "model.js": "text/javascript",
    "viewer.js": "text/javascript",
    "guided.js": "text/javascript",
    "class.js": "text/javascript",
}
_SVG, _GLB, _TOML = "image/svg+xml", "model/gltf-binary", "application/toml"
_REFUSED = 422
Answer = Callable[[dict[str, Any]], Response]


@dataclass(frozen=True)
class Site:
    """What the server was started with: the job it was given, the form a page begins with, and what it serves.

    `bench_only`: just the view for a phone at the bench. `phone` is that view's address where there is one. A view
    `of_class` has a way back to the class's page.
    """

    opened: Opened
    first: Form
    bench_only: bool = False
    phone: str = ""
    of_class: bool = False
    words: Mapping[str, Any] = field(default_factory=catalogue)


def application(site: Site) -> Starlette:
    """The page's routes."""
    routes = [
        Route("/", partial(_page, site)),
        Route("/static/{name}", static),
        Route("/alive", alive),
        *_posts(site, _AT_THE_BENCH),
    ]
    if not site.bench_only:
        routes += [*_posts(site, _AT_THE_DESK), Route("/make", partial(_make, site), methods=["POST"])]
    return Starlette(routes=routes)


def _posts(site: Site, handlers: Mapping[str, Callable[[Site, dict[str, Any]], Response]]) -> list[Route]:
    return [
        Route(f"/{name}", partial(_answer, partial(handler, site)), methods=["POST"])
        for name, handler in handlers.items()
    ]


async def _answer(handler: Answer, request: Request) -> Response:
    """Answer in a thread of its own; every refusal in the words of the commands."""
    try:
        content = await _content(request)
        return await anyio.to_thread.run_sync(handler, content)
    except HeelwrightError as error:
        return JSONResponse(answers.errors(answers.faults_of(error)), _REFUSED)


async def _content(request: Request) -> dict[str, Any]:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > MOST_BODY:
            raise InputError([Fault(PAGE, "", "too much at once", f"at most {MOST_BODY} bytes")])
    try:
        content = parse_json(bytes(body), answers.MOST_TEXT)
    except ValueError as error:
        raise InputError([Fault(PAGE, "", f"something that is no form: {error}", "the page's own form")]) from None
    if not isinstance(content, dict):
        raise InputError([Fault(PAGE, "", "something that is no form", "the page's own form")])
    return content


async def _page(site: Site, request: Request) -> Response:
    text = (
        environment(escaped=True)
        .get_template("page/page.html.j2")
        .render(
            words=site.words["page"],
            ways=site.words["way"],
            sets=site.words["picture_set"],
            guided=answers.GUIDED,
            data=_data(site),
            pickers=pickers(),
            groups=groups(),
            bench_only=site.bench_only,
            phone=bool(site.phone),
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


async def static(request: Request) -> Response:
    """One of the page's own files."""
    name = request.path_params["name"]
    if name not in _STATIC:
        return PlainTextResponse("No such file.", 404)
    data = resources.files("generator.page").joinpath("static", name).read_bytes()
    return Response(data, media_type=_STATIC[name])


async def alive(request: Request) -> Response:
    """Says that the server is there."""
    return PlainTextResponse("yes")


def _numbers(site: Site, content: dict[str, Any]) -> Response:
    told = answers.at_once(read_form(content), site.opened)
    return JSONResponse(told, _REFUSED if "errors" in told else 200)


def _drawing(site: Site, content: dict[str, Any]) -> Response:
    return Response(answers.drawing(read_form(content), site.opened), media_type=_SVG)


def _save(site: Site, content: dict[str, Any]) -> Response:
    return Response(answers.saved_job(read_form(content), site.opened), media_type=_TOML)


def _open(site: Site, content: dict[str, Any]) -> Response:
    text = content.get("text")
    if not isinstance(text, str) or len(text) > answers.MOST_TEXT:
        raise InputError([Fault(PAGE, "", "something that is no job", "a job file or a kit's results.json")])
    return JSONResponse(opened_form(text).content())


def _model(site: Site, content: dict[str, Any]) -> Response:
    return Response(answers.model(read_form(content), site.opened, _use(content)), media_type=_GLB)


def _still(site: Site, content: dict[str, Any]) -> Response:
    return Response(answers.still(read_form(content), site.opened, _use(content)), media_type=_SVG)


def _use(content: dict[str, Any]) -> Use:
    return Use.BODY if content.get("use") == Use.BODY.value else Use.NECK


def _sheet(site: Site, content: dict[str, Any]) -> Response:
    return JSONResponse(answers.setup_sheet(read_form(content), site.opened))


def _adjust(site: Site, content: dict[str, Any]) -> Response:
    return JSONResponse(answers.dry_fit(read_form(content), site.opened, _readings(content)))


def _readings(content: dict[str, Any]) -> dict[str, str]:
    found = content.get("readings")
    return {key: text for key, text in found.items() if isinstance(text, str)} if isinstance(found, dict) else {}


def _guided(site: Site, content: dict[str, Any]) -> Response:
    return JSONResponse(answers.from_guitar(read_form(content), _readings(content)))


def _log(site: Site, content: dict[str, Any]) -> Response:
    entry = content.get("entry")
    return JSONResponse(answers.log_build(read_form(content), site.opened, entry if isinstance(entry, dict) else {}))


def _phone(site: Site, content: dict[str, Any]) -> Response:
    """The address of the view for the phone with this form in it, and its QR code."""
    import io

    import segno

    if not site.phone:
        raise InputError([Fault(PAGE, "", "no view for a phone", "heelwright bench --lan")])
    packed = content.get("packed")
    address = f"{site.phone}#{packed}" if isinstance(packed, str) and len(packed) < 2500 else site.phone
    picture = io.BytesIO()
    segno.make(address, error="l", micro=False).save(picture, kind="svg", scale=4, border=4, xmldecl=False)
    return JSONResponse({"address": address, "picture": picture.getvalue().decode("utf-8")})


#: What the view for the bench may ask, and what the desk's views ask beside it.
_AT_THE_BENCH = {"numbers": _numbers, "sheet": _sheet, "adjust": _adjust, "log": _log}
_AT_THE_DESK = {
    "drawing": _drawing,
    "save": _save,
    "open": _open,
    "model": _model,
    "still": _still,
    "guided": _guided,
    "phone": _phone,
}


async def _make(site: Site, request: Request) -> Response:
    """The kit, as it is made: a line of JSON for every step, then one with the zip's size and the zip itself."""
    try:
        form = read_form(await _content(request))
        job = await anyio.to_thread.run_sync(job_of, form, site.opened)
    except HeelwrightError as error:
        return JSONResponse(answers.errors(answers.faults_of(error)), _REFUSED)

    async def lines() -> AsyncIterator[bytes]:
        async for kind, told in made_kit(job):
            if kind == "zip":
                yield json.dumps({"zip": len(told), "name": job.name}).encode() + b"\n"
                yield told
            else:
                yield json.dumps({"errors" if kind == "faults" else kind: told}).encode() + b"\n"

    return StreamingResponse(lines(), media_type="application/octet-stream")
