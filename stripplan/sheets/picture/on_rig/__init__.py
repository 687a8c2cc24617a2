"""The small picture of a cut: how a piece lies on the rig, with its letters and what falls."""
