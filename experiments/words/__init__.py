"""Numbers in a coach's words.

wording     counts, shares and amounts with their ranges; metres or yards
measured    values and differences of any measure, settings and titles
looks       which looks were thrown, and what would be misread in the figures
text_table  tables and lines as text, values as JSON has them
"""
