#!/usr/bin/env python3
"""Derive the moments that src/given/rider/moments_data.rs ships and the held-out cases that tests/anthropometry.rs uses.

    python3 tests/reference/moments.py DATA_FOLDER

DATA_FOLDER holds ansur2/male.csv, ansur2/female.csv (Gordon et al. 2014, NATICK/TR-15/007, public release of 2017)
and snyder1977/records.csv (Snyder et al. 1977, UM-HSRI-77-17), both works for the United States Government.
Pure Python 3.11, no packages. Run it from the top of the project.
"""

import csv
import json
import sys
from pathlib import Path

# Our name, the column in ANSUR II, the column in Snyder 1977 (or None), and for None what carries the value over:
# the adult ratio to that quantity is applied to each youth. "girth" is sqrt(mass / stature), the radius of a cylinder.
COLUMNS = [
    ("stature", "stature_mm", "stature_mm"),
    ("body_mass", "mass_kg", "mass_kg"),
    ("crotch_height", "crotchheight_mm", "trochanterionheight_mm"),
    ("trochanterion_height", "trochanterionheight_mm", "trochanterionheight_mm"),
    ("tibial_height", "tibialheight_mm", "tibialheight_mm"),
    ("lateral_malleolus_height", "lateralmalleolusheight_mm", "tibialheight_mm"),
    ("shoulder_height", "acromialheight_mm", "suprasternaleheight_mm"),
    ("cervicale_height", "cervicaleheight_mm", "suprasternaleheight_mm"),
    ("suprasternale_height", "suprasternaleheight_mm", "suprasternaleheight_mm"),
    ("acromion_radiale_length", "acromionradialelength_mm", "acromionradialelength_mm"),
    ("radiale_stylion_length", "radialestylionlength_mm", "radialestylionlength_mm"),
    ("shoulder_elbow_length", "shoulderelbowlength_mm", "shoulderelbowlength_mm"),
    ("elbow_grip_length", "forearmcenterofgriplength_mm", "forearmhandlength_mm"),
    ("forearm_fingertip_length", "forearmhandlength_mm", "forearmhandlength_mm"),
    ("hand_length", "handlength_mm", "handlength_mm"),
    ("hand_breadth", "handbreadth_mm", "handbreadth_mm"),
    ("sitting_height", "sittingheight_mm", "sittingheight_mm"),
    ("buttock_knee_length", "buttockkneelength_mm", "buttockkneelength_mm"),
    ("knee_height_sitting", "kneeheightsitting_mm", "kneeheightsitting_mm"),
    ("foot_length", "footlength_mm", "footlength_mm"),
    ("ball_of_foot_length", "balloffootlength_mm", "footlength_mm"),
    ("biacromial_breadth", "biacromialbreadth_mm", "biacromialbreadth_mm"),
    ("hip_breadth", "hipbreadth_mm", "girth"),
    ("chest_depth", "chestdepth_mm", "girth"),
    ("thigh_clearance", "thighclearance_mm", "girth"),
    ("thigh_circumference", "thighcircumference_mm", "girth"),
    ("calf_circumference", "calfcircumference_mm", "girth"),
    ("span", "span_mm", "stature_mm"),
]
NAMES = [name for name, _, _ in COLUMNS]
SNYDER_OWN = {
    "stature", "body_mass", "trochanterion_height", "tibial_height", "suprasternale_height", "acromion_radiale_length",
    "radiale_stylion_length", "shoulder_elbow_length", "forearm_fingertip_length", "hand_length", "hand_breadth",
    "sitting_height", "buttock_knee_length", "knee_height_sitting", "foot_length", "biacromial_breadth",
}
# What a carried-over column's residual is widened by: adult proportions are not a youth's (our choice).
CARRIED_WIDENING = 1.3
YOUTH_AGES = (6.0, 18.0)
SEXES = ("male", "female")
SETS = {
    "A": ["stature", "body_mass"],
    "B": ["stature", "body_mass", "crotch_height"],
    "C": ["stature", "body_mass", "crotch_height", "sitting_height", "elbow_grip_length"],
}
TARGETS = [
    "trochanterion_height", "tibial_height", "shoulder_height", "acromion_radiale_length", "elbow_grip_length",
    "sitting_height", "buttock_knee_length", "knee_height_sitting", "biacromial_breadth", "hip_breadth", "foot_length",
]


def girth(mass, stature):
    return (mass / stature) ** 0.5


def moments(rows):
    """Means and sample covariance (divisor n - 1) of complete rows."""
    n, k = len(rows), len(rows[0])
    mean = [sum(r[i] for r in rows) / n for i in range(k)]
    centred = [[r[i] - mean[i] for r in rows] for i in range(k)]
    cov = [[sum(a * b for a, b in zip(centred[i], centred[j])) / (n - 1) for j in range(k)] for i in range(k)]
    return mean, cov


def cholesky(matrix):
    """Lower factor; raises where the matrix is not positive definite."""
    n = len(matrix)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = matrix[i][j] - sum(low[i][k] * low[j][k] for k in range(j))
            if i == j:
                if rest <= 1e-9 * matrix[i][i]:
                    raise ValueError(f"not positive definite at {i}: {rest}")
                low[i][i] = rest**0.5
            else:
                low[i][j] = rest / low[j][j]
    return low


def solve(matrix, right):
    """Gaussian elimination with partial pivoting: an algorithm other than the crate's Cholesky, on purpose."""
    n = len(matrix)
    rows = [list(matrix[i]) + [right[i]] for i in range(n)]
    for c in range(n):
        p = max(range(c, n), key=lambda r: abs(rows[r][c]))
        rows[c], rows[p] = rows[p], rows[c]
        for r in range(c + 1, n):
            f = rows[r][c] / rows[c][c]
            for k in range(c, n + 1):
                rows[r][k] -= f * rows[c][k]
    out = [0.0] * n
    for r in reversed(range(n)):
        out[r] = (rows[r][n] - sum(rows[r][k] * out[k] for k in range(r + 1, n))) / rows[r][r]
    return out


def read_adults(folder, sex):
    with open(folder / "ansur2" / f"{sex}.csv", newline="") as file:
        return [[float(row[column]) for _, column, _ in COLUMNS] for row in csv.DictReader(file)]


def read_youths(folder, sex):
    with open(folder / "snyder1977" / "records.csv", newline="") as file:
        rows = [r for r in csv.DictReader(file) if r["sex"] == sex]
    out = []
    for r in rows:
        age = float(r["age_y"])
        if YOUTH_AGES[0] <= age < YOUTH_AGES[1] and r["mass_kg"] and r["stature_mm"]:
            out.append({k: float(v) for k, v in r.items() if k != "sex" and v})
    return out


def youth_moments(records, adults):
    """Joint moments of all columns, age and (age - 12)^2 from records with gaps.

    Each column is regressed on stature, mass, age, (age - 12)^2 over the records that have it; the joint covariance is
    what the regressions carry over from those four plus the residuals' covariance over records that have both.
    """
    index = {name: i for i, name in enumerate(NAMES)}
    ratios, spreads = {}, {}
    for name, _, source in COLUMNS:
        if name in SNYDER_OWN:
            continue
        j = index[name]
        carrier = [
            girth(r[index["body_mass"]], r[index["stature"]]) if source == "girth" else r[carrier_of(source)]
            for r in adults
        ]
        ratio = sum(r[j] for r in adults) / sum(carrier)
        ratios[name] = ratio
        spreads[name] = CARRIED_WIDENING**2 * sum((r[j] - ratio * c) ** 2 for r, c in zip(adults, carrier)) / len(adults)

    def value(record, name, source):
        if source == "girth":
            return ratios[name] * girth(record["mass_kg"], record["stature_mm"])
        if source not in record:
            return None
        return record[source] * ratios.get(name, 1.0)

    base = [[r["stature_mm"], r["mass_kg"], r["age_y"], (r["age_y"] - 12.0) ** 2] for r in records]
    base_mean, base_cov = moments(base)
    k = len(NAMES)
    slopes, intercepts, residuals = [], [], []
    for name, _, source in COLUMNS:
        have = [(b, value(r, name, source)) for b, r in zip(base, records)]
        used = [(b, y) for b, y in have if y is not None]
        mean, cov = moments([b + [y] for b, y in used])
        slope = solve([row[:4] for row in cov[:4]], [cov[i][4] for i in range(4)])
        slopes.append(slope)
        intercepts.append(mean[4] + sum(s * (m0 - m) for s, m0, m in zip(slope, base_mean, mean)))
        residuals.append(
            [None if y is None else y - mean[4] - sum(s * (x - m) for s, x, m in zip(slope, b, mean)) for b, y in have]
        )
    size = k + 2
    order = [0, 1]  # the base variables that are columns themselves
    mean = intercepts + base_mean[2:]
    cov = [[0.0] * size for _ in range(size)]
    slopes = slopes + [[0, 0, 1, 0], [0, 0, 0, 1]]
    for i in range(size):
        for j in range(size):
            carried = sum(slopes[i][a] * base_cov[a][b] * slopes[j][b] for a in range(4) for b in range(4))
            rest = 0.0
            if i < k and j < k and i not in order and j not in order:
                pairs = [(a, b) for a, b in zip(residuals[i], residuals[j]) if a is not None and b is not None]
                rest = sum(a * b for a, b in pairs) / (len(pairs) - 5)
                if i == j:
                    rest += spreads.get(NAMES[i], 0.0)
            cov[i][j] = carried + rest
    return mean, cov


def carrier_of(source):
    return next(i for i, (name, column, _) in enumerate(COLUMNS) if column == source)


def short(value):
    return float(f"{value:.5g}")


def rounded(mean, cov):
    cov = [[short(v) for v in row] for row in cov]
    cholesky(cov)
    return [short(v) for v in mean], [cov[i][j] for i in range(len(mean)) for j in range(i + 1)]


def rust_floats(values):
    out, line = [], "   "
    for value in values:
        text = repr(value)
        if "e" in text:
            text = f"{value:.10f}".rstrip("0")
        whole, _, part = text.partition(".")
        part = part or "0"
        sign, digits = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
        if len(digits) > 5:
            digits = f"{int(digits):_}"
        if len(part) > 5:
            part = "_".join(part[i : i + 3] for i in range(0, len(part), 3))
        item = f" {sign}{digits}.{part},"
        if len(line) + len(item) > 120:
            out.append(line)
            line = "   "
        line += item
    return "\n".join([*out, line])


def check_youths(youths, adults):
    """Print the error on every fifth record held out, stature, mass and age given; the records are not shipped."""
    for sex in SEXES:
        train = [r for i, r in enumerate(youths[sex]) if i % 5 != 4]
        held = [r for i, r in enumerate(youths[sex]) if i % 5 == 4]
        mean, cov = youth_moments(train, adults[sex])
        given = [0, 1, len(NAMES), len(NAMES) + 1]
        inner = [[cov[a][b] for b in given] for a in given]
        for name, _, source in COLUMNS:
            if name not in SNYDER_OWN or name in ("stature", "body_mass"):
                continue
            t = NAMES.index(name)
            gain = solve(inner, [cov[t][a] for a in given])
            sd = (cov[t][t] - sum(g * cov[t][a] for g, a in zip(gain, given))) ** 0.5
            errors = []
            for r in held:
                if source in r:
                    x = [r["stature_mm"], r["mass_kg"], r["age_y"], (r["age_y"] - 12.0) ** 2]
                    errors.append(r[source] - mean[t] - sum(g * (v - mean[a]) for g, v, a in zip(gain, x, given)))
            rmse = (sum(e * e for e in errors) / len(errors)) ** 0.5
            inside = sum(abs(e) <= 1.6448536 * sd for e in errors) / len(errors)
            print(f"youths, {sex}, {name}: RMSE {rmse:.1f} mm, 90 % band holds {100 * inside:.0f} % of {len(errors)}")


def main():
    folder = Path(sys.argv[1])
    adults = {sex: read_adults(folder, sex) for sex in SEXES}
    youths = {sex: read_youths(folder, sex) for sex in SEXES}
    check_youths(youths, adults)
    parts = [
        "//! Means, covariances and ranges of body measurements. Written by `tests/reference/moments.py`: do not edit.",
        "//!",
        "//! Adults: ANSUR II, public release (Gordon et al. 2014, NATICK/TR-15/007), every row. Youths: Snyder et al. 1977",
        "//! (UM-HSRI-77-17), ages 6 to 17; what was not measured there carries over by adult ratios. Order as in",
        "//! `Measurement::ALL`, for youths followed by the age in years and (age - 12)². Covariances: lower triangle by",
        "//! rows. Five significant digits; mm, kg, years.",
        "",
        "#![cfg_attr(rustfmt, rustfmt_skip)]",
        "",
        "use super::moments::Table;",
        "",
    ]
    for kind, source in (("adult", adults), ("youth", youths)):
        for sex in SEXES:
            if kind == "adult":
                mean, cov = moments(source[sex])
                columns = list(zip(*source[sex]))
                stature, mass = columns[0], columns[1]
            else:
                mean, cov = youth_moments(source[sex], adults[sex])
                stature = [r["stature_mm"] for r in source[sex]]
                mass = [r["mass_kg"] for r in source[sex]]
            mean, lower = rounded(mean, cov)
            parts += [
                f"/// {kind.capitalize()}, {sex}, {len(source[sex])} people.",
                f"pub(super) const {kind.upper()}_{sex.upper()}: Table<{len(mean)}, {len(lower)}> = Table {{",
                f"    stature: ({min(stature)}, {max(stature)}),",
                f"    mass: ({min(mass)}, {max(mass)}),",
                "    mean: [",
                rust_floats(mean),
                "    ],",
                "    lower: [",
                rust_floats(lower),
                "    ],",
                "};",
                "",
            ]
    Path("src/given/rider/moments_data.rs").write_text("\n".join(parts).rstrip("\n") + "\n")

    # The held-out check: row numbers that leave 4 over 5 are held out, the rest trains.
    cases = Path("tests/cases")
    train_file, golden = {}, []
    kept = sorted({*TARGETS, *SETS["C"]}, key=NAMES.index)
    lines = ["sex," + ",".join(kept)]
    for sex in SEXES:
        train = [r for i, r in enumerate(adults[sex]) if i % 5 != 4]
        held = [r for i, r in enumerate(adults[sex]) if i % 5 == 4]
        mean, cov = moments(train)
        mean, lower = rounded(mean, cov)
        full = [[lower[max(i, j) * (max(i, j) + 1) // 2 + min(i, j)] for j in range(len(mean))] for i in range(len(mean))]
        train_file[sex] = {"mean": mean, "lower": lower}
        lines += [sex + "," + ",".join(f"{r[NAMES.index(n)]:g}" for n in kept) for r in held]
        for number in (0, 57, 200):
            row = held[number]
            for label, given in SETS.items():
                g = [NAMES.index(n) for n in given]
                noise = [(i + 1) * 2.0 for i in range(len(g))]
                inner = [[full[a][b] + (noise[i] ** 2 if i == j else 0.0) for j, b in enumerate(g)] for i, a in enumerate(g)]
                weights = solve(inner, [row[i] - mean[i] for i in g])
                expected = {}
                for target in TARGETS:
                    t = NAMES.index(target)
                    gain = solve(inner, [full[t][i] for i in g])
                    expected[target] = {
                        "mean": mean[t] + sum(full[t][i] * w for i, w in zip(g, weights)),
                        "sd": (full[t][t] - sum(full[t][i] * k for i, k in zip(g, gain))) ** 0.5,
                    }
                golden.append({
                    "sex": sex, "set": label,
                    "given": [{"name": n, "value": row[i], "sd": s} for n, i, s in zip(given, g, noise)],
                    "expected": expected,
                })
    (cases / "ansur-held-out.csv").write_text("\n".join(lines) + "\n")
    (cases / "ansur-train-moments.json").write_text(json.dumps(train_file) + "\n")
    (cases / "estimate-golden.json").write_text(json.dumps(golden, indent=1) + "\n")


if __name__ == "__main__":
    main()
