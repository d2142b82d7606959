"""Sensitivity of a comparison to its assumptions.

assumptions  which parameters, over which ranges
screening    Morris screening: elementary effects
analysis     the study
result       the result, and at which value one plan stops being better
"""
