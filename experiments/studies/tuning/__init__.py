"""The search for the best settings of a plan.

search  the search
race    candidates raced on the same luck
result  the best, and all that are as good
"""
