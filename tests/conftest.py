"""Settings of all tests."""

import contextlib
import getpass
import os
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings

from stripplan import kernel

settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
settings.load_profile("default")

# The tree may be one without a compiled search: build it aside, for these tests and the commands that they run.
if kernel.SWITCH not in os.environ and not kernel.available():
    aside = Path(tempfile.gettempdir()) / f"stripplan-tests-{getpass.getuser()}"
    os.environ[kernel.SWITCH] = str(aside)
    kernel.look_again()
    if not kernel.available():
        with contextlib.suppress(kernel.BuildError):
            kernel.build(aside)
        kernel.look_again()
