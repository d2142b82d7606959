"""One file a kind of study; `tuning` and `sturdiness` have rooms of their own.

result       what every study answers
rehearse     one situation: `Study`
compare      plans compared
whatif       settings changed: before, after, the difference
vary         one or two settings varied
map          a look over places of the disc
matchup      plans against defences: a payoff matrix
completion   completion by distance and bearing
credibility  what the game shows beside what a believable one shows
tuning       search for the best settings
sturdiness   sensitivity of a comparison to assumptions
"""
