"""Can a five-axis mill cut this wheel, with which cutters and at what cost: checks on the real surfaces, in numpy alone.

The shop decides; everything here is a first look before it is asked.
"""
