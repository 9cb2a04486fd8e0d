"""Pure functions of SI numbers, one file per subject: what goes in, what comes out, and where the formula
is from.

No function here knows a tank, a plan or a room. Each names its inputs, their units and the range in which the
published formula holds; outside it they raise `ranges.OutsideValidRange`, which the study turns into
a "not computed" finding.
"""
