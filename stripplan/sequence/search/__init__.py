"""Orders found cut by cut, and made better by moving cuts and by other ways to make them."""
