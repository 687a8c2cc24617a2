"""TOML files: their values with the line where each stands, and how values are checked against a shape."""
