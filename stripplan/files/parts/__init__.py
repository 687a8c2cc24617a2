"""Lists of parts, in whatever file they come: CSV, a workbook, a drawing."""
