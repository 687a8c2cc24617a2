"""What no order of work can undercut: handling, fence readings, travel.

`completion.py` joins the first two to the bound that the search asks for; it is built on `handling.py` and
`fence_readings.py`. `travel.py` stands alone: it is about the carriage, whose ways no order changes.
"""
