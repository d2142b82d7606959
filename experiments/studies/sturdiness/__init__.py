"""Whether other assumptions could overturn a comparison.

assumptions  which parameters, over which ranges
screening    Morris screening: elementary effects
reversal     at which value one plan stops being better
analysis     the study
result       what it found
"""
