"""The largest rectangle of free cells."""

from collections.abc import Sequence


def largest(free: Sequence[Sequence[bool]]) -> tuple[int, int, int, int]:
    """The largest rectangle of free cells (left, low, right, high), by a stack of rising heights along each row."""
    best, area = (0, 0, 0, 0), 0
    heights = [0] * (len(free[0]) if free else 0)
    for row, cells in enumerate(free):
        heights = [height + 1 if cell else 0 for height, cell in zip(heights, cells, strict=True)]
        stack: list[tuple[int, int]] = []
        last = 0
        for column, height in enumerate([*heights, 0]):
            if height == last:
                continue
            start, last = column, height
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (column - start) > area:
                    area = tall * (column - start)
                    best = (start, row + 1 - tall, column, row + 1)
            stack.append((start, height))
    return best
