"""Who may ask: this computer, by an address that holds a token made for this one run, from the page itself.

The token is the first part of every path, so no other page, program or user of the machine can guess an address. The
Host must be the server's own (a foreign name that points here is refused), and so must the Origin of whoever asks.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Collection
from dataclasses import dataclass

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: No request is larger, bytes.
MOST_BODY = 4_000_000
#: Matches a request's Content-Length, bytes.
_LENGTH = re.compile(r"[0-9]{1,9}")
#: HTTP headers of every answer: the page loads nothing from elsewhere, sends nothing there, and is not stored.
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; "
        "font-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def new_token() -> str:
    """A token nobody guesses; each run of the server makes its own."""
    return secrets.token_urlsafe(24)


@dataclass(frozen=True)
class Guard:
    """Lets through what carries the token and comes by one of `hosts` ("name:port"); everything else is refused."""

    app: ASGIApp
    token: str
    hosts: Collection[str]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        # `root_path` is what the router takes off again.
        inner = dict(scope) | {"path": scope["path"][len(self.token) + 1 :], "root_path": ""}
        await self.app(inner, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host", "") not in self.hosts:
            return PlainTextResponse("This address is not the bench page's.", 403)
        origin = headers.get("origin")
        if origin is not None and origin.removeprefix("http://") not in self.hosts:
            return PlainTextResponse("Only the bench page itself may ask.", 403)
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return PlainTextResponse("Only the bench page itself may ask.", 403)
        given = scope["path"].split("/")[1] if scope["path"].startswith("/") else ""
        if not secrets.compare_digest(given.encode(), self.token.encode()):
            return PlainTextResponse(
                "The address lacks this run's token: open the one that heelwright bench printed.", 403
            )
        length = headers.get("content-length", "0")
        if not _LENGTH.fullmatch(length) or int(length) > MOST_BODY:
            return PlainTextResponse("Too much at once.", 413)
        return None


def _with_headers(send: Send) -> Send:
    async def send_with(message: Message) -> None:
        if message["type"] == "http.response.start":
            extra = [(key.lower().encode(), value.encode()) for key, value in _HEADERS.items()]
            message["headers"] = [*message["headers"], *extra]
        await send(message)

    return send_with
