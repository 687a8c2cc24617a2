"""Pictures: neutral shapes in mm, and the painters that put them on a screen."""
