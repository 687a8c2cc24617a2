"""The setup sheet and the notebook's report on paper."""
