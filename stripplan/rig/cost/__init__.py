"""What a job costs beside the plate."""
