"""The workshop's page: a local server for planning and for the rig."""
