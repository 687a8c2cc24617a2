"""Many copies, several plate sizes, limited stages: column generation over patterns of whole plates."""
