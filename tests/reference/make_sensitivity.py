"""Sobol indices by SALib, an implementation apart from arcplunge's, of values that both are given.

    pip install numpy SALib
    python3 make_sensitivity.py    # sensitivity.json, a few seconds

The function has main effects, an interaction and a key without effect; the points follow the golden
ratio and its like, so that the values need nothing but this file.
"""

import json
from importlib.metadata import version

import numpy as np
from SALib.analyze import sobol

N, KEYS = 256, 3


def points(n, dimensions):
    """Additive recurrence with powers of the root of x^(d+1) = x + 1."""
    phi = 2.0
    for _ in range(60):
        phi = (1 + phi) ** (1 / (dimensions + 1))
    steps = phi ** -np.arange(1, dimensions + 1)
    return (0.5 + np.outer(np.arange(1, n + 1), steps)) % 1


def f(x):
    return 5 + np.sin(3 * x[:, 0]) + 2 * x[:, 0] * x[:, 1] ** 2 + 0.3 * x[:, 1]


u = points(N, 2 * KEYS)
a, b = u[:, :KEYS], u[:, KEYS:]
values = {"a": f(a), "b": f(b), "mixed": []}
for key in range(KEYS):
    mixed = a.copy()
    mixed[:, key] = b[:, key]
    values["mixed"].append(f(mixed))
# SALib wants them line by line: A, A with each key from B, B.
y = np.column_stack([values["a"], *values["mixed"], values["b"]]).ravel()
problem = {"num_vars": KEYS, "names": list("xyz"), "bounds": [[0, 1]] * KEYS}
found = sobol.analyze(problem, y, calc_second_order=False, num_resamples=1000, conf_level=0.95, seed=1)
out = {
    "made_with": f"SALib {version('SALib')}, NumPy {np.__version__}",
    "a": values["a"].tolist(),
    "b": values["b"].tolist(),
    "mixed": [m.tolist() for m in values["mixed"]],
    "first": found["S1"].tolist(),
    "first_half": found["S1_conf"].tolist(),
    "total": found["ST"].tolist(),
    "total_half": found["ST_conf"].tolist(),
}
with open("sensitivity.json", "w") as file:
    json.dump(out, file, separators=(",", ":"))
    file.write("\n")
print({k: np.round(out[k], 4).tolist() for k in ("first", "first_half", "total", "total_half")})
