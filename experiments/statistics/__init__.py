"""Estimates and comparisons from tables of rehearsals; knows no situation.

tables            what is read of rehearsals: columns by name
estimates         intervals for shares and means
paired            paired differences on common luck
scores            intervals of scores, which are 0 for a pass that is not completed
weights           what a pass is worth
comparison        plans compared with a baseline
measures          what studies measure, by name
look_shares       which looks were thrown, and what each completed
subset_selection  which candidates are as good as the best
games             matrix games: maximin and mixed strategies
uncertain_games   how sure the mixes of a game are
"""
