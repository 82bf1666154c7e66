"""The mathematics of the shop: codes, limits, graphs, frets and the tables behind them.

Everything here is a function of its arguments: no state, no clock, no framework, and no
file but the tables of ``shared/``, which `tables` reads once. `codes` makes, checks and
reads the short code on a tag; `layouts` mends what a scanner typed by another keyboard
layout; `limits` says on which side of its limits a value falls,
reads what a hand typed and doubts what a hand cannot have measured; `graph` puts steps
in order and finds the longest way and all descendants; `frets` places frets and reckons
strings; `flow` reckons how long one waits in the long run, and `forecast` lives through
what may become of the floor. Units stand in the names of arguments, columns and results
(``_mm``, ``_hz``).
A value out of range is refused at the door with a `ValueError` that says the name, the
range and the value; where a caller needs to know which of several mistakes it was, the
error has a name of its own and a ``reason`` from a closed list. Docstrings name the
source of each formula and show an example, and the examples run as tests.
"""
