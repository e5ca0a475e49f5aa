"""Property tests have no deadline, and draw the same examples every time in continuous integration."""

import os

from hypothesis import settings

settings.register_profile("explore", deadline=None, print_blob=True)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable" if os.environ.get("CI") else "explore")
