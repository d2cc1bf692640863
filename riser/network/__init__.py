# SPDX-License-Identifier: Apache-2.0
"""Pipework as one network across all parts.

Words: a *part* is what is delivered or built as one piece; a *node* is what pipes end at or pass through; a
*point* is a place of a node that shares water; a *run* is a pipe between two nodes of one part; a *pass* is
the way through a device; a *joint* ties stubs of two parts; a *riser* or *stack* is the vertical chain of
one system.
"""
