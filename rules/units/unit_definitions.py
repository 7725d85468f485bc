"""The units people write here, in pint's own definition language.

Pint's full list takes longer to read than the rest of a start together; these are the few that are
used, with the exact factors of NIST SP 811 (a test holds each against pint's full list).
"""

DEFINITIONS = """
kilo- = 1000
centi- = 0.01
milli- = 0.001
meter = [length]
second = [time]
gram = [mass]
kelvin = [temperature]
radian = []
percent = 0.01
degree = 0.017453292519943295 * radian
inch = 0.0254 * meter
foot = 12 * inch
mile = 5280 * foot
pound = 453.59237 * gram
newton = kilogram * meter / second ** 2
kilogram_force = 9.80665 * newton
force_pound = 0.45359237 * kilogram_force
pascal = newton / meter ** 2
bar = 100000 * pascal
psi = force_pound / inch ** 2
liter = 0.001 * meter ** 3
minute = 60 * second
hour = 60 * minute
day = 24 * hour
year = 365.25 * day
month = year / 12
degC = kelvin; offset: 273.15
degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
click = [click]
screwturn = [screwturn]
"""
