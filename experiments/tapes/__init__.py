"""Read what happened in a rehearsal from its tape or its row.

paths     throws, lanes and endings
landing   where catches lie, and how far off the middle
openness  who gets there first
picking   which rehearsal to show
"""
