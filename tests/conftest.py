"""What holds for every test: the same examples at each run, and no limit of time, which only the load decides."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("heelwright", derandomize=True, deadline=None, database=None)
settings.load_profile("heelwright")
