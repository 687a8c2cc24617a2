"""The shell command: reads, plans, writes. Heavy rooms are imported only by the command that needs them."""
