"""The drawing of one plate: pieces with names and sizes, cuts, holes and bevels, crowded regions larger."""
