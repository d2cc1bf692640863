# SPDX-License-Identifier: Apache-2.0
"""The people of the story; all invented."""

FOREMAN = "Bram Oakhill"
ENGINEER = "Ines Calloway"
COMMISSIONING_LEAD = "Otto Brandmeer"
SETTING_OUT = "Tilda Rowanfield"
CREWS = ("Kestrel", "Heron")
