"""Pages as pixels, by poppler, and what of one lacks in another."""
import subprocess

import numpy


def grey(pdf, page=1, dpi=150):
    """A page of a PDF; 0 is black."""
    raw = subprocess.run(["pdftoppm", "-gray", "-r", str(dpi), "-f", str(page), "-l", str(page), pdf], capture_output=True, check=True).stdout
    head, pixels = raw.split(b"255\n", 1)
    width, height = map(int, head.split()[1:3])
    return numpy.frombuffer(pixels, numpy.uint8).reshape(height, width)


def lacking(a, b, dark=100, light=200):
    """How many dark pixels of a have no ink in b, nor beside."""
    ink = numpy.pad(b < light, 1)
    near = sum(ink[y:y + b.shape[0], x:x + b.shape[1]] for y in range(3) for x in range(3)) > 0
    return int(((a < dark) & ~near).sum())
