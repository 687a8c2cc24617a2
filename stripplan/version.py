"""The version, as in pyproject.toml."""

VERSION = "0.1.0"
