"""toml."""
