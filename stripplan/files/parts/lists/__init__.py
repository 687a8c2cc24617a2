"""Cut lists as spreadsheets write them: CSV files and workbooks, row by row."""
