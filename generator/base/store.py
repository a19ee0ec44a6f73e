"""What was expensive to make, kept from one run to the next: a folder of results, each under the hash of its causes.

A result is kept only of a function that any process finds by its name, and under the exact content of all that it was
given, the program's own files and the versions of the libraries. So an entry never goes stale: with any other cause it
has another name. The folder may be deleted at any time; several processes share it; a damaged entry is made anew.
Where the folder cannot be read or written everything is made as if there were no store. Standard library only.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import platform
import re
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import metadata
from pathlib import Path
from typing import ParamSpec, TypeVar, cast

from generator.base.exact import digest
from generator.base.packed import pack, unpack

Given = ParamSpec("Given")
Made = TypeVar("Made")

#: The environment variable that moves the store to another folder, or turns it off.
VARIABLE = "HEELWRIGHT_CACHE"
#: The variable's value that turns the store off.
OFF = "off"
#: What the store holds at most, bytes: some fifty kits.
BOUND = 512 * 1024 * 1024
#: Whatever of these makes a result may change it; a library that brings its own ones is fixed by their versions.
LIBRARIES = (
    "cadquery",
    "cadquery-ocp",
    "ezdxf",
    "fonttools",
    "jinja2",
    "mapbox-earcut",
    "matplotlib",
    "numpy",
    "pydantic",
    "pypdfium2",
    "python-calamine",
    "reportlab",
    "rich",
    "segno",
    "shapely",
    "starlette",
    "svgelements",
    "svgwrite",
    "tomlkit",
    "typer",
    "uvicorn",
)
#: Length of the SHA-256 digest that an entry begins with, bytes.
_HASH = 32
#: Name of a folder that the store wrote; it looks into no other.
_OWN_FOLDER = re.compile(r"[0-9a-f]{2}")
#: Name of a file that the store wrote, or of its draft; it takes away nothing else.
_OWN_FILE = re.compile(r"[0-9a-f]{64}|[0-9a-f]{64}\..*\.draft")


@dataclass(frozen=True)
class Store:
    """Where results are kept, how many bytes at most, and which program they are of (`program_digest`).

    A store without a folder keeps nothing.
    """

    folder: Path | None = None
    program: str = ""
    bound: int = BOUND

    def kept(self, function: Callable[Given, Made], *given: Given.args, **named: Given.kwargs) -> Made:
        """What `function` returns for what it is given, from the store where it is kept there, else made and kept.

        It returns plain values or nouns of the program. It must be one of a module's own, so that it sees nothing but
        its arguments; a store among them changes no result and is no part of the key. Errors are the function's own,
        and never kept. TypeError for another function, an argument without a known exact content, or a result that
        cannot be kept.
        """
        if self.folder is None:
            return function(*given, **named)
        path = self._path(_found_by_name(function), given, named)
        with contextlib.suppress(LookupError):
            return cast(Made, _read(path))
        made = function(*given, **named)
        _write(path, pack(made))
        return made

    def trim(self) -> None:
        """Take away what was used longest ago until the rest is within the bound."""
        if self.folder is None:
            return
        held = sorted(_entries(self.folder))
        excess = sum(size for _, _, size in held) - self.bound
        for _, path, size in held:
            if excess <= 0:
                return
            with contextlib.suppress(OSError):
                path.unlink()
            excess -= size

    def _path(self, name: str, given: tuple[object, ...], named: Mapping[str, object]) -> Path:
        assert self.folder is not None
        causes = [one for one in given if not isinstance(one, Store)]
        key = digest((self.program, name, causes, dict(sorted(named.items()))))
        return self.folder / key[:2] / key


#: Keeps nothing: every result is made.
NO_STORE = Store()


def users_store(environment: Mapping[str, str], *, asked: bool = True) -> Store:
    """The store of this user: in the folder that HEELWRIGHT_CACHE names, else in the user's cache directory.

    None at all where it is not `asked` for, HEELWRIGHT_CACHE is "off", or the user has no directory.
    """
    named = environment.get(VARIABLE, "")
    if not asked or named.strip().lower() == OFF:
        return NO_STORE
    folder = Path(named).expanduser().absolute() if named.strip() else _cache_directory(environment)
    if folder is None:
        return NO_STORE
    try:
        return Store(folder, program_digest(Path(__file__).parent.parent))
    except OSError:  # a program whose own files cannot be read has no name to keep anything under
        return NO_STORE


def _cache_directory(environment: Mapping[str, str]) -> Path | None:
    """The program's folder where this system keeps what can be made again."""
    base = Path(environment.get("XDG_CACHE_HOME", ""))
    if not base.is_absolute():  # the XDG base directory specification: a relative path is to be ignored
        try:
            home = Path.home()
        except RuntimeError:
            return None
        if sys.platform == "win32":
            base = Path(environment.get("LOCALAPPDATA", home / "AppData" / "Local"))
        else:
            base = home / "Library" / "Caches" if sys.platform == "darwin" else home / ".cache"
    return base / "heelwright"


def program_digest(package: Path) -> str:
    """A hash of the program's own files under `package`, the libraries' versions, Python's and the machine's kind."""
    content = hashlib.sha256()
    for path in sorted(package.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            content.update(f"{path.relative_to(package).as_posix()} {path.stat().st_size}\n".encode())
            content.update(path.read_bytes())
    machine = (sys.version, sys.platform, platform.machine())
    return digest((content.hexdigest(), tuple(map(library_version, LIBRARIES)), machine))


@lru_cache(maxsize=len(LIBRARIES))
def library_version(library: str) -> str:
    """The version of an installed library; empty where it is not installed."""
    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return ""


def _found_by_name(function: Callable[..., object]) -> str:
    """The name that a process finds `function` by. TypeError for one that may carry something besides its arguments."""
    module, name = getattr(function, "__module__", ""), getattr(function, "__qualname__", "")
    if getattr(sys.modules.get(module), name, None) is not function:
        raise TypeError(f"{function!r} is not a function of a module's own: what it sees is not known")
    return f"{module}.{name}"


def _read(path: Path) -> object:
    """What was kept at `path`, marked as used. LookupError where nothing stands there, or not what was written."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise LookupError(f"nothing is kept at {path.name}") from error
    if len(data) < _HASH or _seal(path, data[_HASH:]) != data[:_HASH]:
        raise LookupError(f"not what was kept at {path.name}")
    try:
        found = unpack(data[_HASH:])
    except ValueError as error:
        raise LookupError(f"not what was kept at {path.name}") from error
    with contextlib.suppress(OSError):
        os.utime(path)
    return found


def _write(path: Path, data: bytes) -> None:
    """Keep `data` at `path`, whole or not at all; without a word where the system refuses."""
    draft = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(prefix=f"{path.name}.", suffix=".draft", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(_seal(path, data) + data)
        os.replace(draft, path)
    except OSError:
        with contextlib.suppress(OSError):
            if draft:
                os.unlink(draft)


def _seal(path: Path, data: bytes) -> bytes:
    """What a true entry begins with: it holds the entry to its name and its content."""
    return hashlib.sha256(path.name.encode("ascii") + data).digest()


def _entries(folder: Path) -> Iterator[tuple[float, Path, int]]:
    """When each of the store's own files was used last, its path, its size in bytes."""
    with contextlib.suppress(OSError):
        for shelf in [path for path in folder.iterdir() if _OWN_FOLDER.fullmatch(path.name) and path.is_dir()]:
            with contextlib.suppress(OSError):
                for path in shelf.iterdir():
                    if _OWN_FILE.fullmatch(path.name):
                        with contextlib.suppress(OSError):
                            told = path.stat()
                            yield told.st_mtime, path, told.st_size
