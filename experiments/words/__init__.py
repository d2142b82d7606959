"""Numbers in a coach's words.

units        metres or yards
wording      counts, shares and amounts with their ranges
measured     values and differences of any measure, settings and titles
differences  a difference in a sentence
looks        which looks were thrown, and a warning
text_table   tables and lines as text
traps        what would be misread in the figures
"""
