"""How a help page shows its example: each is a command that runs as it stands."""

from __future__ import annotations


def example(command: str) -> str:
    """The last line of a help page."""
    return f"Example: {command}"
