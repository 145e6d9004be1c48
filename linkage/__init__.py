"""Linkage kinematics of model locomotives: where the motion binds, by how much, and the cure.

One way through: a sheet of measurements is read (`linkage.sheet`), made into parts and joints
(`linkage.arrangements`), turned (`linkage.kinematics`), looked at for clearances
(`linkage.clearance`) and judged (`linkage.tightspots`); `linkage.examine` runs it all, and
`linkage.advice` finds cures. See README.md for the command, DEVELOPERS.md for the house.
"""
