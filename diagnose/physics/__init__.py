"""Pure physics of an off-road motorcycle's suspension.

Every function here takes and gives SI values (pascal, newton, metre, kelvin, second,
radian), reads no clock and draws no random number except from a generator passed in.
Each docstring ends with where its formula and its default numbers come from: a published
source, common practice, memory (said plainly), or a calculation. Wrong input raises
:class:`diagnose.physics.errors.PhysicsError`.

`springs`, `damping` and `chassis` hold what a workshop works out from a few readings; `ride` rides
one end over an obstacle; `budget` shares out what makes it harsher than it should be.
"""
