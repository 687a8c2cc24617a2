"""The independent check: from the scale readings back to the metal, by shapely.

Shares no code with layout, order or rig formulas; what a formula means is written here anew.
"""
