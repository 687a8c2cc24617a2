"""Lists of what lies on the rack: CSV and workbooks."""
