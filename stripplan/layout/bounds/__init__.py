"""What no layout can undercut: bounds on plates and cost, each saying how it was got.

`material` is the way in, for layouts of any kind; `dual_pairs` and `dual_functions` give it values of parts
that bound better than area does. `dual_feasible` is for strips alone, where only widths matter.
"""
