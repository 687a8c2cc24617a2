"""Lists of parts in whatever file they come: CSV, workbooks, drawings."""
