"""What happens in one future, event by event?

Written for numba: loops over records in arrays, no objects. Nothing here imports numba
or numpy; `compiled` puts ``np`` in and compiles. Without it, the same source runs as
plain Python, some hundred times slower, which the tests use.
"""
