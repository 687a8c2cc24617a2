"""What the page keeps on disk: plans, how far each is cut, rig profiles with their notebooks."""
