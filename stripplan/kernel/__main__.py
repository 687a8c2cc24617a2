"""`python -m stripplan.kernel`: build the library where the package lies, for an installation that is without."""

from __future__ import annotations

import sys

from stripplan.kernel.compiler import BuildError, build

if __name__ == "__main__":
    try:
        print(f"built {build()}")
    except (BuildError, OSError) as error:
        sys.exit(f"The compiled searches could not be built: {error}")
