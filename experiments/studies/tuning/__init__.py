"""The search for the best settings of a plan.

search  the search
result  the best, and all that are as good
"""
