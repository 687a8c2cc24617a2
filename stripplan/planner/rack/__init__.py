"""What a job can be made from that lies on the rack, and what is to be bought beside it."""
