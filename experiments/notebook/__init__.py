"""The what-if panel of the notebook.

panel  the panel
"""
