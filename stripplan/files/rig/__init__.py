"""Rig profiles: the built-in one, files, and named ones in the person's own folder."""
