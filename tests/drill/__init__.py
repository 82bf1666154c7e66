"""Is nothing that was scanned ever lost?  Proofs, each named by its number.

The tests are named R1, R3, … in their docstrings and marked so.  In each run of all
tests they are tried in their short form, by ``make drill`` in full.
"""
