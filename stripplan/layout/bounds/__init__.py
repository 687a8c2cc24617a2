"""What no layout can undercut: bounds on plates and cost, each saying how it was got."""
