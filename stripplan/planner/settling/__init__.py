"""What settling a job takes: checks, materials filled in, lengths in whole units. The door is `planner.settled`."""
