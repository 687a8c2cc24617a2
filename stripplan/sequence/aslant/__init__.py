"""Cuts at an angle: how each can be set on the rig, and in what order those of all blocks are made."""
