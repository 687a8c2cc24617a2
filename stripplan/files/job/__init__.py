"""Job files: the shape of job and rig tables, and how a file becomes a job."""
