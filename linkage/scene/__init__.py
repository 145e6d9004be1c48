"""A moment of the motion as plain values: shapes, lines, marks and words placed, in mm.

Nothing in here draws. `motion` asks the solver, `moment` says what is looked at, and the views
(`side`, `plan`, `detail`, `dial`, `curves`) turn it into the values of `drawing`, which painters
put on paper, into a film or on a page.
"""
