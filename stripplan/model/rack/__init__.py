"""What lies on the rack: its pieces, what a plan takes of them and leaves, what is to be bought."""
