"""rectangles."""
