"""What a server of the page was started with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.page.form import Form, Opened
from generator.page.words import catalogue


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
