"""A plan of before is kept as far as it goes: its plates, and the order of its cuts."""
