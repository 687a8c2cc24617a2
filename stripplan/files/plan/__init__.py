"""Plan files: read whole, refused where they hold what no plan holds."""
