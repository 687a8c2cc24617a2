"""The commands, one file each: the module `x` holds the command `x`."""
