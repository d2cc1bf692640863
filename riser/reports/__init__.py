# SPDX-License-Identifier: Apache-2.0
"""Sheets for people: what to do on a floor, where to set out, how far the job is.

Words: a *sheet* is what one person takes along; a *line* on it is one joint or stub; *stage* is how far the
records say a connection is; the *fit* is what is there against what the make-up takes; an *open end* is a
stub that rain and dirt can enter. Each sheet is a value with three forms: `*_terminal`, `as_json`, `*_pdf`.
Nothing is imported here, so that a command loads only the form it shows.
"""
