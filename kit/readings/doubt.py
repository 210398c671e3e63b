"""Shares of the normal distribution that several checks go by."""

from __future__ import annotations

#: 19 in 20 normal errors stay within this many standard deviations, on either side.
TWO_SIDED_95 = 1.96
