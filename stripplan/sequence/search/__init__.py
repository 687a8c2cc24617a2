"""Orders found cut by cut, and made better by moving cuts and by other options for each.

`best_order.py` leads the three that it takes in turn: `beam.py`, `reorder.py` and `reassign.py`.
"""
