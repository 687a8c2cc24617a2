"""Orders found cut by cut, and made better by moving cuts and by other options for each."""
