"""What a key means: it stands as metadata on the model's field, beside the kind of value that the key holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class KeyGroup(Enum):
    """The groups a form shows keys in, in a form's order."""

    START = "start"
    GUITAR = "guitar"
    TOP = "top"
    TARGET = "target"
    JOINT = "joint"
    BOLTS = "bolts"
    ROUTER = "router"
    JIG = "jig"
    STOCK = "stock"
    OUTPUT = "output"
    TOLERANCES = "tolerances"
    SHEET = "sheet"
    PRINTER = "printer"


@dataclass(frozen=True)
class Meaning:
    """The key's `label`, one sentence of `help` without its full stop, and `where` that is measured.

    `group` is given where it is another than the model's own, `only` where one kind of joint alone has use for the key.
    """

    label: str
    help: str
    where: str = ""
    group: KeyGroup | None = None
    only: str = ""

    @property
    def sentence(self) -> str:
        """Help and where it is measured, as one sentence."""
        return f"{self.help} {self.where}".rstrip() + "."
