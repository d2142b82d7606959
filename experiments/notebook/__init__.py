"""The panel of the what-if notebook.

question  a situation with changes, and what can be turned how far
telling   the last answer beside the one before, in words
panel     the widgets
"""
