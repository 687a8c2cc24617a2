"""What only cuts at an angle need: the mitre bar, kerfs that run out of slanted edges, outlines that fit each other."""
