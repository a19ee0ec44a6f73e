"""Serving the page: on this computer alone, and the bench view for a phone only where that was asked for."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import socket
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from generator.base.errors import OutputError
from generator.page.app import Site, application
from generator.page.classview import ClassSite, class_application
from generator.page.guard import Guard, new_token

if TYPE_CHECKING:
    import uvicorn
    from starlette.applications import Starlette

_LOOPBACK = "127.0.0.1"


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


def serve(site: Site | ClassSite, port: int, browser: bool, lan: bool, told: Callable[[str], None]) -> None:
    """Serve until interrupted. `told` hears the address once the server listens.

    The phone is given the view for the bench; of a class the whole of it, which is nothing but such views.
    """
    door = open_door(_LOOPBACK, port)
    doors = [(_answering(site), door)]
    if lan:
        phone = open_door(_own_address())
        own, at_bench = site, site
        if isinstance(site, Site):
            own, at_bench = replace(site, phone=phone.url), replace(site, bench_only=True)
        doors = [(_answering(own), door), (_answering(at_bench), phone)]
        told(f"for the phone: {phone.url}")
    told(f"bench page: {door.url}")
    if browser:
        webbrowser.open(door.url)
    # What is loaded by now stays to the end: it need not be looked through again while keys are answered.
    gc.freeze()
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_all(doors))


def _answering(site: Site | ClassSite) -> Starlette:
    return application(site) if isinstance(site, Site) else class_application(site)


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


async def _all(doors: list[tuple[Starlette, Door]]) -> None:
    servers = [(_server(app, door), door) for app, door in doors]
    await asyncio.gather(*(server.serve(sockets=[door.socket]) for server, door in servers))


def _server(inner: Starlette, door: Door) -> uvicorn.Server:
    import uvicorn

    app = Guard(inner, door.token, door.hosts)
    config = uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off", timeout_graceful_shutdown=1)
    return uvicorn.Server(config)
