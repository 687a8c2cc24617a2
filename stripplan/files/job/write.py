"""A job as the text of a job file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def job_text(table: Mapping[str, Any]) -> str:
    """The text of a job file with this table; `files.job.read` reads it as it was.

    >>> job_text({"name": "shelf", "part": [{"name": "bar", "width": "50 mm"}]})
    'name = "shelf"\\n\\n[[part]]\\nname = "bar"\\nwidth = "50 mm"\\n'
    """
    import tomlkit  # few commands write a job

    return tomlkit.dumps(table)
