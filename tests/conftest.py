"""Settings of all tests."""

import contextlib
import gc
import getpass
import os
import sys
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings

from stripplan import kernel

ASIDE = Path(tempfile.gettempdir()) / f"stripplan-tests-{getpass.getuser()}"
"""What is made once for all tests and must not lie in the tree."""

SELDOM = 100_000
"""Objects made until garbage is looked for."""

# Random jobs are the same in every run. `pytest --hypothesis-profile=deep` tries ten times as many of each kind.
for profile, tries in (("default", 100), ("deep", 1000)):
    settings.register_profile(
        profile,
        max_examples=tries,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        derandomize=True,
    )
settings.load_profile("default")

# Where no byte code is to be written beside the modules, it goes aside: the tests start the program some hundred times.
if sys.dont_write_bytecode:
    sys.dont_write_bytecode, sys.pycache_prefix = False, str(ASIDE / "bytecode")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix

# The tree may be one without a compiled search: build it aside, for these tests and the commands that they run.
if kernel.SWITCH not in os.environ and not kernel.available():
    os.environ[kernel.SWITCH] = str(ASIDE)
    kernel.look_again()
    if not kernel.available():
        with contextlib.suppress(kernel.BuildError):
            kernel.build(ASIDE)
        kernel.look_again()


def pytest_collection_finish() -> None:
    """What is there when the tests begin stays to the end: thousands of tests and modules that the collector of garbage
    need not walk again and again; and it looks as seldom as where the command plans.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(SELDOM)
