"""What the page shows: planning, the rig view, the notebook."""
