#!/usr/bin/python3
"""Every kind of figure as SVG, drawn by librsvg, against the same figure as it is painted into the traveller's PDF.

Argument: the program write_papers.
"""
import pathlib
import subprocess
import sys

from ink import grey, lacking

subprocess.run([sys.argv[1], "."], check=True)
failures = []


def pair(name):
    """The painted one and librsvg's, cut to one size."""
    subprocess.run(["rsvg-convert", "-f", "pdf", "-o", f"{name}-rsvg.pdf", f"{name}.svg"], check=True)
    a, b = grey(f"{name}.pdf", dpi=300), grey(f"{name}-rsvg.pdf", dpi=300)
    if max(abs(x - y) for x, y in zip(a.shape, b.shape)) > 1:
        failures.append(f"{name}: sizes {a.shape}, {b.shape}")
    rows, columns = min(a.shape[0], b.shape[0]), min(a.shape[1], b.shape[1])
    return a[:rows, :columns], b[:rows, :columns]


for name in ("pressure", "ratio", "gap", "velocity", "contributions", "section", "step"):
    a, b = pair(f"{name}-plain")
    lack = lacking(a, b, 225, 250), lacking(b, a, 225, 250)
    print(name, a.shape, (a < 240).sum(), "inked;", *lack)
    if (a < 240).sum() < 3000:
        failures.append(f"{name}: nothing to compare")
    if any(lack):
        failures.append(f"{name}: {lack[0]} pixels lack in the SVG, {lack[1]} in the PDF")
    a, b = pair(f"{name}-hatched")
    ink = [(255 - p.astype(float)).sum() for p in (a, b)]
    print("  ink", ink[0] / ink[1])
    if abs(ink[0] / ink[1] - 1) > 0.05:
        failures.append(f"{name}: with hatching, {ink[0] / ink[1]:.3f} of the SVG's ink")
for failure in failures:
    print("FAILED:", failure)
sys.exit(1 if failures else 0)
