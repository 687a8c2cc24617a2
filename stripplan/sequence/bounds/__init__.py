"""What no order of work can undercut: handling, fence readings, travel."""
