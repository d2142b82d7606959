"""Charts of results and of the field, in one style.

A chart of a result takes the result, `ax=None` (axes to draw on; None makes a figure, and charts of
several axes always do) and `style=None` (units, sizes and direction), and returns axes.

drawing       `draw`: the chart of a result
style         colours, fonts, sizes, figures, what every chart has
panel         what stands beside a field
labels        labels on a field
field         the field
tape          paths of a rehearsal
outcomes      marks of outcomes
start         the start of a situation, nothing rehearsed
play          a play with its outcomes
where         where catches lie, and most of them enlarged
availability  a look over places of the disc
openness      who gets there first
curve         a curve over one setting
heat          a heat map over two settings
tuning        the plateau of a search
completion    completion by distance and bearing
flights       flights of the disc
differences   plans compared: paired differences over measures
whatif        a play before and after a change
matchup       a payoff matrix and its mixes
off_centre    how far off the middle catches lie
sturdiness    effects of assumptions
"""
