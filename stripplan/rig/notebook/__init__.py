"""What was measured on the rig, and what it says: dial, fence scale, rails, test cuts."""
