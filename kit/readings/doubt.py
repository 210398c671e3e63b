"""Shares of the normal distribution that several checks go by."""

from __future__ import annotations

#: 19 in 20 normal errors stay within this many standard deviations, on either side.
TWO_SIDED_95 = 1.96

#: All but 1 in 1000 normal errors stay within this many: Baarda's limit for w.
TWO_SIDED_999 = 3.29

#: The global test rejects the stated sd where the upper tail of chi-square, the probability of a
#: v' P v as large or larger, is below this.
GLOBAL_TEST_LEVEL = 0.001
