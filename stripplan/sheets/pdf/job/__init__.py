"""The pages that are read at a desk: the job, how to read the sheet, overview, check list, offcuts, what it costs."""
