# SPDX-License-Identifier: Apache-2.0
"""One function per user action: the only place where model, rules and records meet."""
