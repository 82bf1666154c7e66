"""Does the product keep what it promises?

A package in its own right: a library that brings a package of this name along would
otherwise stand before it wherever ``python -m tests.bench`` or a server looks.
"""
