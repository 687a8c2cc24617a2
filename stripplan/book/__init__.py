"""The stock book: what lies on the rack, whom it is promised to, and what became of it; one SQLite file."""
