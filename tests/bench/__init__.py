"""How long the engine takes: tables to read, no assertions.

`python -m tests.bench.solve` times one balance, beside other solvers on the same trees;
`python -m tests.bench.assess` times the assessment of whole designs.
"""
