"""The rig's notebook: its rows as they were written down, in TOML and in lists beside it."""
