"""Drawings of the shop as SVG text, without Django.

Every function takes plain values and returns one string.  A drawing is black on
white by its presentation attributes alone, so that it prints and stands alone as
a file; the class names let a style sheet dress it in maple or ebony on a screen.
There are no style attributes, no scripts and no ids (two drawings may share a
page).  Whatever a person reads comes in as an argument, in that person's
language; the English defaults are for tests and for tools.

``pen`` makes elements, ``letters`` knows how wide the shop's typeface runs,
``marks`` has the shapes of the states, ``fingerboard`` draws the floor, ``strip``
one instrument, ``signs`` the safety signs, ``outlines`` the parts on which a
place is touched, ``limits`` the bar of limits.
"""
