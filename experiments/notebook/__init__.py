"""The panel of the what-if notebook.

question  a situation with changes, and what can be turned how far
panel     the widgets, and the last answer beside the one before
"""
