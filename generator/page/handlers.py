"""What answers each question of the page, at the bench and at the desk."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Awaitable, Callable
from typing import Any

import anyio
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response, StreamingResponse

from generator.base.errors import Fault, HeelwrightError, InputError
from generator.base.strict_json import parse_json
from generator.joint.stations import Use
from generator.page import answers
from generator.page.apart import Made, told_apart
from generator.page.classmake import AskedClass, asked_class, class_page, make_class_apart
from generator.page.form import PAGE, job_of, opened_form, read_form
from generator.page.guard import MOST_BODY
from generator.page.kit import make_kit_apart
from generator.page.refusals import errors, faults_of
from generator.page.site import Site

#: Media type of a drawing in SVG.
_SVG = "image/svg+xml"
#: Media type of a model in binary glTF.
_GLB = "model/gltf-binary"
#: Media type of a job file in TOML.
_TOML = "application/toml"
#: HTTP status of a refused job or form.
_REFUSED = 422
#: HTTP status of a question that nothing answers.
_MISSING = 404
#: A question's JSON.
Content = dict[str, Any]


async def answer(site: Site, name: str, request: Request) -> Response:
    """The answer to the question `name`, given in a thread of its own; every refusal in the words of the commands."""
    asked = _AT_THE_BENCH if site.bench_only else _AT_THE_BENCH | _AT_THE_DESK
    making = {} if site.bench_only else _MAKING
    try:
        if name in asked:
            return await anyio.to_thread.run_sync(asked[name], site, await _content(request))
        if name in making:
            return await making[name](site, await _content(request))
    except HeelwrightError as error:
        return JSONResponse(errors(faults_of(error)), _REFUSED)
    return PlainTextResponse("Nothing answers that here.", _MISSING)


async def _content(request: Request) -> dict[str, Any]:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > MOST_BODY:
            raise InputError([Fault(PAGE, "", "too much at once", f"at most {MOST_BODY} bytes")])
    try:
        content = parse_json(bytes(body), MOST_BODY)
    except ValueError as error:
        raise InputError([Fault(PAGE, "", f"something that is no form: {error}", "the page's own form")]) from None
    if not isinstance(content, dict):
        raise InputError([Fault(PAGE, "", "something that is no form", "the page's own form")])
    return content


def _numbers(site: Site, content: Content) -> Response:
    told = answers.at_once(read_form(content), site.opened)
    return JSONResponse(told, _REFUSED if "errors" in told else 200)


def _drawing(site: Site, content: Content) -> Response:
    return Response(answers.drawing(read_form(content), site.opened), media_type=_SVG)


def _save(site: Site, content: Content) -> Response:
    return Response(answers.saved_job(read_form(content), site.opened), media_type=_TOML)


def _open(site: Site, content: Content) -> Response:
    text = content.get("text")
    if not isinstance(text, str) or len(text) > answers.MOST_TEXT:
        raise InputError([Fault(PAGE, "", "something that is no job", "a job file or a kit's results.json")])
    return JSONResponse(opened_form(text).content())


def _model(site: Site, content: Content) -> Response:
    return Response(answers.model(read_form(content), site.opened, _use(content)), media_type=_GLB)


def _still(site: Site, content: Content) -> Response:
    return Response(answers.still(read_form(content), site.opened, _use(content)), media_type=_SVG)


def _use(content: Content) -> Use:
    return Use.BODY if content.get("use") == Use.BODY.value else Use.NECK


def _sheet(site: Site, content: Content) -> Response:
    return JSONResponse(answers.setup_sheet(read_form(content), site.opened))


def _adjust(site: Site, content: Content) -> Response:
    return JSONResponse(answers.dry_fit(read_form(content), site.opened, _readings(content)))


def _readings(content: Content) -> dict[str, str]:
    found = content.get("readings")
    return {key: text for key, text in found.items() if isinstance(text, str)} if isinstance(found, dict) else {}


def _guided(site: Site, content: Content) -> Response:
    return JSONResponse(answers.from_guitar(read_form(content), _readings(content)))


def _log(site: Site, content: Content) -> Response:
    entry = content.get("entry")
    return JSONResponse(answers.log_build(read_form(content), site.opened, entry if isinstance(entry, dict) else {}))


def _phone(site: Site, content: Content) -> Response:
    """The address of the view for the phone with this form in it, and its QR code."""
    import io

    import segno

    if not site.phone:
        raise InputError([Fault(PAGE, "", "no view for a phone", "heelwright bench --lan")])
    packed = content.get("packed")
    address = f"{site.phone}#{packed}" if isinstance(packed, str) and len(packed) < 2500 else site.phone
    picture = io.BytesIO()
    segno.make(address, error="l", micro=False).save(picture, kind="svg", border=4, xmldecl=False, omitsize=True)
    return JSONResponse({"address": address, "picture": picture.getvalue().decode("utf-8")})


async def _make(site: Site, content: Content) -> Response:
    """The kit, as it is made."""
    return _made(make_kit_apart, await anyio.to_thread.run_sync(job_of, read_form(content), site.opened))


async def _make_class(site: Site, content: Content) -> Response:
    """The class, as it is made."""
    asked = _asked_class(site, content)
    read = await anyio.to_thread.run_sync(asked.read)
    return _made(make_class_apart, read, asked.name, asked.good_only, dict(site.words["class_steps"]))


def _made(work: Callable[..., Made], *given: object) -> Response:
    """A line of JSON for every step, then one with the zip's size and the zip itself."""

    async def lines() -> AsyncIterator[bytes]:
        async for told in told_apart(work, *given):
            yield told if isinstance(told, bytes) else json.dumps(told).encode() + b"\n"

    return StreamingResponse(lines(), media_type="application/octet-stream")


def _class(site: Site, content: Content) -> Response:
    return HTMLResponse(class_page(_asked_class(site, content), site.words["class_plan"]))


def _asked_class(site: Site, content: Content) -> AskedClass:
    return asked_class(content, read_form(content), site.opened)


#: What the view for the bench may ask.
_AT_THE_BENCH = {"sheet": _sheet, "adjust": _adjust, "log": _log}
#: What the desk's views ask beside what the bench's view may.
_AT_THE_DESK = {
    "numbers": _numbers,
    "drawing": _drawing,
    "save": _save,
    "open": _open,
    "model": _model,
    "still": _still,
    "guided": _guided,
    "phone": _phone,
    "class": _class,
}
#: What the desk's views ask to have made: a kit, or a class's kits.
_MAKING: dict[str, Callable[[Site, Content], Awaitable[Response]]] = {"make": _make, "class/make": _make_class}
