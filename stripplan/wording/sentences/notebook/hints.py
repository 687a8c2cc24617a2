"""What more than one sentence about a notebook says."""

from __future__ import annotations

IN_MM = "once turned into mm"
TYPE_IN_MM = "type it in mm (1 in = 25.4 mm)"
TYPE_BOTH_IN_MM = "type both in mm (1 in = 25.4 mm)"
"""Of a figure that is an inch's part of what it should be: it can only have been typed in another unit."""
