"""`workbench bench net`, run by python3 with numpy: the tasks of the net as array operations.

Prints a line for each way: task, way, median milliseconds, answer.
"""
import sys
import time

import numpy as np

many, spread, nodes, k, rounds, few = (int(float(word)) for word in sys.argv[1:])


def axes(count):
    """As `axis` in trial/net.rs."""
    place = (np.arange(count) * 7919 % count).astype(float)
    down = 1 - 2 * (place + 0.5) / count
    level = np.sqrt(1 - down * down)
    turn = place * 2.399963229728653
    v = np.column_stack([level * np.cos(turn), 0.4 * level * np.sin(turn), down])
    return v / np.linalg.norm(v, axis=1, keepdims=True)


every = axes(many)
north, east, down = (np.ascontiguousarray(column) for column in every.T)
some = axes(spread).astype(np.float32)
mean = -np.expm1(-k) / k
sd = np.sqrt(spread * (-np.expm1(-2 * k) / (2 * k) - mean * mean))


def projecting(north, east, down):
    def project():
        scale = np.copysign(1 / np.sqrt(1 + np.abs(down)), down)
        x, y = east * scale, north * scale
        return float(x[many // 3]) + float(y[2 * many // 3])

    return project


project = projecting(north, east, down)
project_single = projecting(*(column.astype(np.float32) for column in (north, east, down)))


def tensor():
    values, _ = np.linalg.eigh(every.T @ every / many)
    return values[2] - values[0]


def density():
    side = np.linspace(-1, 1, nodes)
    e, n = (part.ravel() for part in np.meshgrid(side, side))
    square = e * e + n * n
    e, n, square = (part[square <= 1] for part in (e, n, square))
    level = np.sqrt(2 - square)
    at = np.column_stack([n * level, e * level, 1 - square]).astype(np.float32)
    sums = [np.exp(k * (np.abs(at[i : i + 64] @ some.T) - 1)).sum(axis=1) for i in range(0, len(at), 64)]
    return (np.concatenate(sums).max() - spread * mean) / sd


for task, way, work, times in (
    ("project", "numpy", project, rounds),
    ("project", "numpy-single", project_single, rounds),
    ("tensor", "numpy", tensor, rounds),
    ("density", "numpy", density, few),
):
    taken = []
    for _ in range(times + 1):
        started = time.perf_counter()
        answer = work()
        taken.append((time.perf_counter() - started) * 1e3)
    print(task, way, sorted(taken[1:])[times // 2], answer)
print("version", np.__version__, 0, 0)
