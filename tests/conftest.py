"""What holds for every test: nothing is read from, or left in, the cache directory of who runs them."""

from __future__ import annotations

import os

# Set at once, not by a fixture, so that fixtures of any scope and the processes they start find it too.
os.environ["HEELWRIGHT_CACHE"] = "off"
