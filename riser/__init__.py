# SPDX-License-Identifier: Apache-2.0
"""Coordination and test records for pipe risers in buildings made of factory modules.

The word list is docs/glossary.md; the layers are described in DEVELOPERS.md.
"""

__version__ = "0.1.0"
