"""What holds for every test: the same examples at each run, no limit of time, and no store of the user's.

The load of the machine alone decides how long an example takes, so none has a limit.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("heelwright", derandomize=True, deadline=None, database=None)
settings.load_profile("heelwright")
# Set at once, not by a fixture, so that fixtures of any scope and the processes they start find it too.
os.environ["HEELWRIGHT_CACHE"] = "off"
