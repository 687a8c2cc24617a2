"""single_plate."""
