"""Loss coefficients, one module for each kind of part: plain floats in and out, SI units.

A coefficient C makes a loss of total pressure C x density x velocity^2 / 2,
at the velocity named by its function. Published elbow and junction data
scatter by about 30 % between sources.
"""
