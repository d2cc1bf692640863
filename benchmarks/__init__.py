# SPDX-License-Identifier: Apache-2.0
"""Figures and yardsticks: ratios in one run, never timed tests. `make bench` runs all of them."""
