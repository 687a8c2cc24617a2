"""One plate by itself, exactly: the pattern of most value, unbounded or with so many of each item, or without waste."""
