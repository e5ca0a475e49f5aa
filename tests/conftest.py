"""Property tests have no deadline, and draw the same examples every time in continuous integration.

No test sees the parts of the person who runs it.
"""

import os
import tempfile

from hypothesis import settings

settings.register_profile("explore", deadline=None, print_blob=True)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable" if os.environ.get("CI") else "explore")

os.environ["OUTBOARD_PARTS"] = os.path.join(tempfile.gettempdir(), "no-parts-of-anybody", "in-here")
