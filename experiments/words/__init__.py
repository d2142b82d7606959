"""Numbers in a coach's words.

units     metres or yards
wording   counts, shares and amounts with their ranges
measured  values and differences of any measure
"""
