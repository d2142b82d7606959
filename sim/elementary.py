"""Elementary functions of one number, made of + - * / and the square root alone.

The C library's exp, log, sin and atan2 differ in the last bit between processors and versions, and
so would the results of a rehearsal. These give the same bits wherever arithmetic is IEEE 754, and
the same ones whether they run as ordinary Python or compiled. Odd functions are odd to the bit, so
that a mirrored play stays the mirror image.

Formulas: Moshier, Cephes Mathematical Library (rational approximations of exp, log, sin, cos and
atan); Wichura 1988, Algorithm AS 241, Applied Statistics 37(3) (the normal quantile). Coefficients
from memory; `tests/sim/test_elementary.py` holds all against scipy and mpmath-grade references.
"""

from __future__ import annotations

import math

import numpy as np

PI = 3.141592653589793
_LOG2E = 1.4426950408889634
_LN2_HIGH = 6.93145751953125e-1
_LN2_LOW = 1.42860682030941723212e-6
_SQRT_HALF = 0.7071067811865476
_POWERS_OF_TWO = np.array([2.0**k for k in range(-1022, 1024)])  # multiplied by without rounding
# a quarter turn in three parts, so that k times each of the first two is exact
_QUARTER_1 = 7.85398125648498535156e-1
_QUARTER_2 = 3.77489470793079817668e-8
_QUARTER_3 = 2.69515142907905952645e-15


def exp(x: float) -> float:
    """e to the power of x; 0 below -708, infinity above 709."""
    if x < -708.0:
        return 0.0
    if x > 709.0:
        return math.inf
    k = math.floor(_LOG2E * x + 0.5)
    r = x - k * _LN2_HIGH
    r = r - k * _LN2_LOW
    z = r * r
    p = r * ((1.26177193074810590878e-4 * z + 3.02994407707441961300e-2) * z + 1.0)
    q = (
        (3.00198505138664455042e-6 * z + 2.52448340349684104192e-3) * z + 2.27265548208155028766e-1
    ) * z + 2.0
    # a table, since `ldexp` is a call into the C library that takes as long as all the rest
    return (1.0 + 2.0 * (p / (q - p))) * float(_POWERS_OF_TWO[int(k) + 1022])


def log(x: float) -> float:
    """Natural logarithm of a positive number."""
    m, e = math.frexp(x)
    if m < _SQRT_HALF:
        e = e - 1
        m = 2.0 * m - 1.0
    else:
        m = m - 1.0
    z = m * m
    p = 1.01875663804580931796e-4
    p = p * m + 4.97494994976747001425e-1
    p = p * m + 4.70579119878881725854e0
    p = p * m + 1.44989225341610930846e1
    p = p * m + 1.79368678507819816313e1
    p = p * m + 7.70838733755885391666e0
    q = m + 1.12873587189167450590e1
    q = q * m + 4.52279145837532221105e1
    q = q * m + 8.29875266912776603211e1
    q = q * m + 7.11544750618563894466e1
    q = q * m + 2.31251620126765340583e1
    y = m * (z * p / q) - e * 2.121944400546905827679e-4
    return m + (y - 0.5 * z) + e * 0.693359375


def _sine(z: float) -> float:
    """sin(z)/z - 1 for |z| up to an eighth of a turn, z squared given."""
    p = 1.58962301576546568060e-10
    p = p * z - 2.50507477628578072866e-8
    p = p * z + 2.75573136213857245213e-6
    p = p * z - 1.98412698295895385996e-4
    p = p * z + 8.33333333332211858878e-3
    return (p * z - 1.66666666666666307295e-1) * z


def _cosine(z: float) -> float:
    """cos for the square z of an angle of up to an eighth of a turn."""
    p = -1.13585365213876817300e-11
    p = p * z + 2.08757008419747316778e-9
    p = p * z - 2.75573141792967388112e-7
    p = p * z + 2.48015872888517045348e-5
    p = p * z - 1.38888888888730564116e-3
    p = p * z + 4.16666666666665929218e-2
    return 1.0 - 0.5 * z + p * z * z


def sin(x: float) -> float:
    """Sine of an angle, rad; exact to the last bits for some thousands of turns."""
    size = abs(x)
    octant = math.floor(size / (0.25 * PI))
    octant += octant % 2
    r = ((size - octant * _QUARTER_1) - octant * _QUARTER_2) - octant * _QUARTER_3
    part = octant % 8
    z = r * r
    y = _cosine(z) if part in (2, 6) else r + r * _sine(z)
    if part in (4, 6):
        y = -y
    return -y if x < 0.0 else y


def cos(x: float) -> float:
    """Cosine of an angle, rad."""
    size = abs(x)
    octant = math.floor(size / (0.25 * PI))
    octant += octant % 2
    r = ((size - octant * _QUARTER_1) - octant * _QUARTER_2) - octant * _QUARTER_3
    part = octant % 8
    z = r * r
    y = r + r * _sine(z) if part in (2, 6) else _cosine(z)
    return -y if part in (2, 4) else y


def _atan(x: float) -> float:
    """Arc tangent of a number that is not negative."""
    start = 0.0
    if x > 2.414213562373095:
        start = 0.5 * PI
        x = -1.0 / x
    elif x > 0.66:
        start = 0.25 * PI
        x = (x - 1.0) / (x + 1.0)
    z = x * x
    p = -8.750608600031904122785e-1
    p = p * z - 1.615753718733365076637e1
    p = p * z - 7.500855792314704667340e1
    p = p * z - 1.228866684490136173410e2
    p = p * z - 6.485021904942025371773e1
    q = z + 2.485846490142306297962e1
    q = q * z + 1.650270098316988542046e2
    q = q * z + 4.328810604912902668951e2
    q = q * z + 4.853903996359136964868e2
    q = q * z + 1.945506571482613964425e2
    return start + (x * (z * p / q) + x)


def bearing(x: float, y: float) -> float:
    """Angle of a direction from +y, positive to the right (+x), rad from -pi to pi; odd in x."""
    across = abs(x)
    if y > 0.0:
        angle = _atan(across / y)
    elif y < 0.0:
        angle = PI - _atan(across / -y)
    elif across > 0.0:
        angle = 0.5 * PI
    else:
        angle = 0.0
    return -angle if x < 0.0 else angle


def turn_between(start: float, end: float) -> float:
    """The shorter turn from one bearing to another, rad from -pi to pi, positive to the right."""
    turn = end - start
    while turn > PI:
        turn -= 2.0 * PI
    while turn < -PI:
        turn += 2.0 * PI
    return turn


def logistic(x: float) -> float:
    """1 / (1 + exp(-x)), without overflow."""
    if x >= 0.0:
        return 1.0 / (1.0 + exp(-x))
    grown = exp(x)
    return grown / (1.0 + grown)


def normal_quantile(p: float) -> float:
    """The number that a standard normal variable stays below with chance p, 0 < p < 1."""
    q = p - 0.5
    if abs(q) <= 0.425:
        r = 0.180625 - q * q
        n = 2.5090809287301226727e3
        n = n * r + 3.3430575583588128105e4
        n = n * r + 6.7265770927008700853e4
        n = n * r + 4.5921953931549871457e4
        n = n * r + 1.3731693765509461125e4
        n = n * r + 1.9715909503065514427e3
        n = n * r + 1.3314166789178437745e2
        n = n * r + 3.3871328727963666080e0
        d = 5.2264952788528545610e3
        d = d * r + 2.8729085735721942674e4
        d = d * r + 3.9307895800092710610e4
        d = d * r + 2.1213794301586595867e4
        d = d * r + 5.3941960214247511077e3
        d = d * r + 6.8718700749205790830e2
        d = d * r + 4.2313330701600911252e1
        d = d * r + 1.0
        return q * n / d
    r = math.sqrt(-log(p if q < 0.0 else 1.0 - p))
    if r <= 5.0:
        r -= 1.6
        n = 7.74545014278341407640e-4
        n = n * r + 2.27238449892691845833e-2
        n = n * r + 2.41780725177450611770e-1
        n = n * r + 1.27045825245236838258e0
        n = n * r + 3.64784832476320460504e0
        n = n * r + 5.76949722146069140550e0
        n = n * r + 4.63033784615654529590e0
        n = n * r + 1.42343711074968357734e0
        d = 1.05075007164441684324e-9
        d = d * r + 5.47593808499534494600e-4
        d = d * r + 1.51986665636164571966e-2
        d = d * r + 1.48103976427480074590e-1
        d = d * r + 6.89767334985100004550e-1
        d = d * r + 1.67638483018380384940e0
        d = d * r + 2.05319162663775882187e0
        d = d * r + 1.0
    else:
        r -= 5.0
        n = 2.01033439929228813265e-7
        n = n * r + 2.71155556874348757815e-5
        n = n * r + 1.24266094738807843860e-3
        n = n * r + 2.65321895265761230930e-2
        n = n * r + 2.96560571828504891230e-1
        n = n * r + 1.78482653991729133580e0
        n = n * r + 5.46378491116411436990e0
        n = n * r + 6.65790464350110377720e0
        d = 2.04426310338993978564e-15
        d = d * r + 1.42151175831644588870e-7
        d = d * r + 1.84631831751005468180e-5
        d = d * r + 7.86869131145613259100e-4
        d = d * r + 1.48753612908506148525e-2
        d = d * r + 1.36929880922735805310e-1
        d = d * r + 5.99832206555887937690e-1
        d = d * r + 1.0
    return -n / d if q < 0.0 else n / d
