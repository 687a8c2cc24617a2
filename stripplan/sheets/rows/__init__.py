"""A plan as rows of plain strings in the person's units: what paper, page and terminal all show."""
