"""One file for each kind of study; `tuning` and `sturdiness` are packages.

result       what every study answers
rehearse     one situation: `Study`
compare      plans compared
whatif       settings changed: before, after, the difference
vary         one or two settings varied
map          a look over places of the disc
matchup      plans against defences: a payoff matrix
completion   completion by distance and bearing
credibility  figures of the model beside published and expected ranges
tuning       search for the best settings
sturdiness   sensitivity of a comparison to its assumptions
"""
