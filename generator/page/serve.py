"""Serving the page: on this computer alone, and the bench view for a phone only where that was asked for."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from generator.base.errors import OutputError
from generator.page.guard import Guard, new_token

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp, Receive, Scope, Send

#: Address that only this computer reaches.
_LOOPBACK = "127.0.0.1"
#: A browser that has not asked by then, s, still begins, and there is time to warm up.
_BROWSER_BEGINS = 0.3


@dataclass(frozen=True)
class Door:
    """One address the server listens at."""

    socket: socket.socket
    address: str
    port: int
    token: str

    @property
    def url(self) -> str:
        return f"http://{self.address}:{self.port}/{self.token}/"

    @property
    def hosts(self) -> frozenset[str]:
        names = {self.address} | ({"localhost"} if self.address == _LOOPBACK else set())
        return frozenset(f"{name}:{self.port}" for name in names)


def open_door(address: str, port: int = 0) -> Door:
    """Listen at `address`; port 0 takes a free one. OutputError where that is not possible."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listening.bind((address, port))
    except OSError as error:
        listening.close()
        raise OutputError(f"{address}:{port}: {error.strerror or error}; another --port, or none") from None
    listening.listen(64)
    return Door(listening, address, listening.getsockname()[1], new_token())


def serve(
    desk: Callable[[str], ASGIApp],
    bench: Callable[[], ASGIApp] | None,
    port: int,
    browser: bool,
    told: Callable[[str], None],
    warm: Callable[[], None],
) -> None:
    """Serve until interrupted. `told` hears the address once the server listens.

    `desk` is what this computer is given, made with the address of the view for a phone; `bench` is that view, None
    where no phone may ask. `warm` is what can wait until the page is asked for: it runs beside the server.
    """
    door = open_door(_LOOPBACK, port)
    doors, address = [], ""
    if bench is not None:
        phone = open_door(_own_address())
        address = phone.url
        doors.append((bench(), phone))
        told(f"for the phone: {address}")
    shown = threading.Event()
    doors.insert(0, (_Heard(desk(address), shown), door))
    told(f"bench page: {door.url}")
    threading.Thread(target=_beside, args=(browser, door.url, shown, warm), daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_all(doors))


@dataclass(frozen=True)
class _Heard:
    """Tells when the first answer is out."""

    app: ASGIApp
    answered: threading.Event

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self.app(scope, receive, send)
        self.answered.set()


def _beside(browser: bool, url: str, shown: threading.Event, warm: Callable[[], None]) -> None:
    if browser:
        webbrowser.open(url)
    shown.wait(_BROWSER_BEGINS)  # a browser that is there already shall not wait for what only follows its page
    warm()
    # What is loaded by now stays to the end: it need not be looked through again while keys are answered.
    gc.freeze()


def _own_address() -> str:
    """The address of this computer in its network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(
                ("192.0.2.1", 9)
            )  # an address for documentation (RFC 5737): only the route to it is looked up
            return str(asking.getsockname()[0])
        except OSError:
            raise OutputError("this computer is in no network that a phone could reach it by") from None


async def _all(doors: list[tuple[ASGIApp, Door]]) -> None:
    servers = [(_server(app, door), door) for app, door in doors]
    await asyncio.gather(*(server.serve(sockets=[door.socket]) for server, door in servers))


def _server(inner: ASGIApp, door: Door) -> uvicorn.Server:
    import uvicorn

    app = Guard(inner, door.token, door.hosts)
    config = uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off", timeout_graceful_shutdown=1)
    return uvicorn.Server(config)
