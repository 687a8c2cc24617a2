"""The version, as in pyproject.toml."""

VERSION = "0.2.0"
