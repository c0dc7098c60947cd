"""Writes tests/cases/posture-golden.json: the problems in posture-problems.json solved by SciPy's SLSQP from many random
starts, with every local minimum that was found, and cost terms and gaps at random postures.

Cost, limits and geometry are written from the core's documentation, not from its code: limbs by the law of cosines and
rotations about the line between their ends, gaps as distances from a prism. Slopes are central differences.
Units of a limit: degrees for joints, 5 mm for gaps.
"""

import json
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import scipy
from scipy.optimize import minimize

CASES = Path(__file__).parent.parent / "cases"
STARTS = 40
SAMPLES = 2
# Feasible within this, in units of a limit: a hundredth of what the core calls kept.
FEASIBLE = 1e-6
# Postures nearer than this are one basin.
SAME = np.array([2.0, 2.0, 0.5, 0.5, 0.5, 0.5])
# From the vector of the optimiser (hundreds of mm, rad) to mm and degrees.
SHOWN = np.array([100.0, 100.0] + [180 / np.pi] * 4)
NAMES = ["hip_x", "hip_z_or_slide", "lean", "swing", "heel", "splay"]
TERMS = ["ankle", "knee", "knee_splay", "hip", "trunk", "shoulder", "elbow", "elbow_swing", "wrist_ulnar", "neck", "balance"]


def unit(v):
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def dot(a, b):
    return np.sum(a * b, axis=-1)


def cross(a, b):
    return a[:, [1, 2, 0]] * b[:, [2, 0, 1]] - a[:, [2, 0, 1]] * b[:, [1, 2, 0]]


def rotate(v, axis, angle):
    """Rodrigues' rotation of v about unit axes, row by row."""
    s, c = np.sin(angle)[:, None], np.cos(angle)[:, None]
    return v * c + cross(axis, v) * s + axis * (dot(axis, v)[:, None] * (1 - c))


def vec(x, y, z):
    return np.stack(np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float), np.asarray(z, float)), axis=-1)


def angle_between(a, b):
    return np.arctan2(np.linalg.norm(cross(a, b), axis=-1), dot(a, b))


def flexion(d, a, b):
    """Flexion of links a, b with ends d apart; continued in a straight line in its cosine past 4° from straight."""
    c = (d * d - a * a - b * b) / (2 * a * b)
    edge, near = np.cos(np.radians(4)), np.radians(4)
    beyond = np.where(c > 0, near - (c - edge) / np.sin(near), np.pi - near - (c + edge) / np.sin(near))
    return np.where(abs(c) > edge, beyond, np.arccos(np.clip(c, -edge, edge)))


def limb(start, end, a, b, towards, turn):
    """Middle joint of a limb, bent towards a direction that is then turned about the line from start to end."""
    d = np.linalg.norm(end - start, axis=-1)
    line = unit(end - start)
    side = unit(towards - line * dot(towards, line)[:, None])
    along = (d * d + a * a - b * b) / (2 * d)
    off = np.sqrt(np.maximum(a * a - along * along, 1.0))
    return start + line * along[:, None] + rotate(side, line, turn) * off[:, None], flexion(d, a, b)


class Prism:
    """The solid under a line of points (x, z, half-width), as wide as the half-width at each x."""

    def __init__(self, points, raised=0.0):
        self.x, self.z, self.w = (np.array(c, float) for c in zip(*points))
        self.z = self.z + raised

    def distance(self, ball):
        x, z = ball[:, 0:1], ball[:, 2:3]
        ax, az, ex, ez = self.x[:-1], self.z[:-1], np.diff(self.x), np.diff(self.z)
        t = np.clip(((x - ax) * ex + (z - az) * ez) / (ex * ex + ez * ez), 0, 1)
        distances = [np.hypot(x - ax - t * ex, z - az - t * ez)]
        for end in (0, -1):
            distances.append(np.hypot(x - self.x[end], np.maximum(z - self.z[end], 0)))
        side = np.min(np.hstack(distances), axis=1)
        x, z = x[:, 0], z[:, 0]
        under = (x > self.x[0]) & (x < self.x[-1]) & (z < np.interp(x, self.x, self.z))
        side = np.where(under, -side, side)
        beside = abs(ball[:, 1]) - np.interp(x, self.x, self.w)
        both = (side > 0) & (beside > 0)
        return np.where(both, np.hypot(side, beside), np.maximum(side, beside))


class Problem:
    """One case: residuals and limits at rows of free variables (hundreds of mm, rad)."""

    def __init__(self, problems, case):
        self.rider, self.stance = problems["riders"][case["rider"]], problems["stances"][case["stance"]]
        self.s, self.l, self.seated = case["setup"], self.rider["links_mm"], self.stance["seated"]
        s, rad = self.s, np.radians
        self.pitch = rad(s["board_pitch_deg"])
        lean = rad(s["riser_angle_deg"])
        up = s["riser_height"] + s["clamp_stack"]
        self.bar_centre = np.array([s["base_x"] - up * np.sin(lean), 0, s["base_z"] + up * np.cos(lean)])
        roll = lean + rad(s["bar_roll_deg"])
        turned = np.array([[np.cos(roll), 0, -np.sin(roll)], [0, 1, 0], [np.sin(roll), 0, np.cos(roll)]])
        self.grip = self.bar_centre + turned @ [-s["pullback"], s["grip_to_grip"] / 2, s["rise"]]
        sweep, upsweep = rad(s["sweep_deg"]), rad(s["upsweep_deg"])
        self.grip_axis = turned @ [-np.sin(sweep) * np.cos(upsweep), np.cos(sweep) * np.cos(upsweep), np.sin(upsweep)]
        toe_x = s["stirrup"] + s["toe_stop_offset"]
        self.toe_stop = np.array([toe_x, s["foot_lateral"], toe_x * np.tan(self.pitch)])
        self.outline, self.seat = Prism(s["outline"]), Prism(s["seat_line"], s["seat_over_line"])
        self.mass = sum(g["mass_kg"] * g["count"] for g in self.rider["segments"])
        self.sag = self.foam_sag(case["seat_share"] * self.mass * 9.80665) if self.seated else 0.0
        self.free = [True, not self.seated or self.stance["foot_slide_max_mm"] > 0, True, True,
                     self.stance["heel_lift_max_deg"] > 0, True]

    def foam_sag(self, force):
        """Deflection of the seat: straight lines through the documented corners, then the stiffening curve."""
        f = force / (self.s["foam_f25"] * 1.6)
        corners = [0, 0.6, 1.0, self.s["foam_support"]]
        if f <= corners[-1]:
            e = np.interp(f, corners, [0, 0.05, 0.25, 0.65])
        else:
            e = min(1 - 0.35 * (corners[-1] / f) ** (1 / 2.3), 0.97)
        return e * self.s["foam_thickness"]

    def evaluate(self, rows):
        """(residuals, {limit: values}, {gap in mm: values}), each with a value per row."""
        x = np.atleast_2d(rows)
        l, ranges = self.l, self.stance["joints"]
        hip_x, second, lean, swing, heel, splay = (100 * x[:, 0], 100 * x[:, 1], *x.T[2:])
        along = np.array([np.cos(self.pitch), 0, np.sin(self.pitch)])
        slide = second if self.seated else np.zeros(len(x))
        toe = self.toe_stop - slide[:, None] * along
        ball = toe - l["toe_to_ball"] * along
        sole = heel - self.pitch
        y = np.tile([0.0, 1.0, 0.0], (len(x), 1))
        on_foot = lambda back, up: ball + rotate(np.tile([l["toe_to_ball"] - back, 0.0, up], (len(x), 1)), y, sole)
        ankle = on_foot(l["toe_to_ankle"], l["ankle_height"])
        foot_com = on_foot(l["toe_to_foot_com"], l["foot_com_height"])
        if self.seated:
            hip_z = np.interp(hip_x, self.seat.x, self.seat.z) - self.sag + l["hip_over_seat"]
        else:
            hip_z = second
        hip = vec(hip_x, l["hip_half"], hip_z)
        knee, knee_flexion = limb(ankle, hip, l["shank"], l["thigh"], np.array([1.0, 0, 0]), splay)
        shank_lean = np.arctan2(knee[:, 0] - ankle[:, 0], knee[:, 2] - ankle[:, 2])
        thigh_forward = np.arctan2(knee[:, 0] - hip_x, hip_z - knee[:, 2])
        trunk = vec(np.sin(lean), 0, np.cos(lean))
        hips = vec(hip_x, 0, hip_z)
        mid_shoulder = hips + l["trunk"] * trunk
        neck = mid_shoulder + l["neck_base"] * trunk
        neck_angle = (lean - np.radians(self.stance["gaze_below_horizon_deg"])) * 2 / 3
        head = neck + l["neck"] * rotate(trunk, y, -neck_angle)
        shoulder = mid_shoulder + l["protraction"] * vec(np.cos(lean), 0, -np.sin(lean)) + [0, l["shoulder_half"], 0]
        grip = np.tile(self.grip, (len(x), 1))
        elbow, elbow_flexion = limb(shoulder, grip, l["upper_arm"], l["forearm"], np.array([0, 0, -1.0]), swing)
        shoulder_angle = angle_between(elbow - shoulder, -trunk)
        ulnar = angle_between(grip - elbow, np.tile(self.grip_axis, (len(x), 1))) - np.radians(100)

        ends = {"head": (neck, head), "upper_trunk": (hips, mid_shoulder), "pelvis": (hips, mid_shoulder),
                "upper_arm": (shoulder, elbow), "forearm": (elbow, grip), "hand": (elbow, grip), "thigh": (hip, knee),
                "shank": (knee, ankle), "foot": (foot_com, foot_com)}
        com = sum(g["mass_kg"] * g["count"] * ((1 - g["fraction"]) * ends[g["part"]][0] + g["fraction"] * ends[g["part"]][1])
                  for g in self.rider["segments"]) / self.mass

        angles = {"ankle": shank_lean - sole, "knee": knee_flexion, "knee_splay": splay, "hip": lean + thigh_forward,
                  "trunk": lean, "shoulder": shoulder_angle, "elbow": elbow_flexion, "elbow_swing": swing,
                  "wrist_ulnar": ulnar, "neck": neck_angle}
        degrees = {name: np.degrees(value) for name, value in angles.items()}
        residuals = [(degrees[n] - ranges[n]["preferred"]) / ranges[n]["tolerance"] for n in TERMS[:-1]]
        share = self.stance["balance_share"]
        if share is None:
            residuals.append(np.zeros(len(x)))
        else:
            # The bare foot lies in the middle of the boot.
            rear = toe[:, 0] - (l["boot_length"] + l["foot_length"]) / 2
            wanted = rear + share * l["foot_length"]
            residuals.append((com[:, 0] - wanted) / (self.stance["balance_tolerance"] * l["foot_length"]))

        gaps = self.gaps(hips, hip, knee, ankle, mid_shoulder, head)
        limits = {}
        stops = {"ankle": self.rider["dorsiflexion_stop_deg"], "knee": self.rider["knee_flexion_stop_deg"],
                 "neck": self.rider["neck_extension_stop_deg"]}
        for name, value in degrees.items():
            high = ranges[name]["high"] if stops.get(name) is None else min(ranges[name]["high"], stops[name])
            limits[name + " least"] = value - ranges[name]["low"]
            limits[name + " greatest"] = high - value
        if self.stance["heel_lift_max_deg"] > 0:
            limits["heel least"] = np.degrees(heel)
            limits["heel greatest"] = self.stance["heel_lift_max_deg"] - np.degrees(heel)
        limits["hamstrings"] = 80 + 0.6 * degrees["knee"] - degrees["hip"]
        for name, gap in gaps.items():
            limits[name] = gap / 5
        if self.seated:
            limits["seat rear"] = (hip_x - self.seat.x[0] - 60) / 5
            limits["seat front"] = (self.seat.x[-1] - 60 - hip_x) / 5
            if self.stance["foot_slide_max_mm"] > 0:
                limits["slide least"] = second / 5
                limits["slide greatest"] = (self.stance["foot_slide_max_mm"] - second) / 5
        return np.array(residuals), limits, gaps

    def gaps(self, hips, hip, knee, ankle, mid_shoulder, head):
        l = self.l
        thigh, shank = hip + 0.6 * (knee - hip), knee + 0.35 * (ankle - knee)
        chest = hips + 2 / 3 * (mid_shoulder - hips)

        def gaps(solid, balls):
            """Distances of named balls, all in one call, less their radii."""
            rows = solid(np.concatenate([ball for ball, _ in balls.values()])).reshape(len(balls), -1)
            return {name: row - radius for (name, (_, radius)), row in zip(balls.items(), rows)}

        def bar(balls):
            span = self.grip - self.bar_centre
            t = np.clip((balls - self.bar_centre) @ span / (span @ span), 0, 1)
            return np.linalg.norm(balls - self.bar_centre - t[:, None] * span, axis=-1) - 20

        cockpit = {
            "knee against the cockpit": (knee, l["knee_radius"]),
            "shank against the cockpit": (shank, l["shank_radius"]),
            "thigh against the cockpit": (thigh, l["thigh_radius"]),
            "chest against the cockpit": (chest, l["chest_front"]),
            "helmet against the cockpit": (head, l["helmet_radius"]),
        }
        handlebar = {
            "knee against the bar": (knee, l["knee_radius"]),
            "chest against the bar": (chest, l["chest_front"]),
            "helmet against the bar": (head, l["helmet_radius"]),
        }
        seat = {"shank against the seat": (shank, l["shank_radius"])}
        if not self.seated:
            seat["hips against the seat"] = (hips, l["hip_over_seat"])
            seat["thigh against the seat"] = (thigh, l["thigh_radius"])
        return gaps(self.outline.distance, cockpit) | gaps(bar, handlebar) | gaps(self.seat.distance, seat)

    def full(self, part):
        """Rows of all six variables from rows of the free ones."""
        part = np.atleast_2d(part)
        rows = np.zeros((len(part), 6))
        rows[:, self.free] = part
        return rows

    def values(self, part):
        residuals, limits, _ = self.evaluate(self.full(part))
        return np.sum(residuals * residuals, axis=0), np.array(list(limits.values()))

    def draw(self, random):
        """A start: hips anywhere about the feet, angles anywhere inside their limits."""
        ranges, toe = self.stance["joints"], self.toe_stop[0]
        inside = lambda name: np.radians(random.uniform(ranges[name]["low"], ranges[name]["high"]))
        reach = self.l["shank"] + self.l["thigh"]
        second = random.uniform(0, self.stance["foot_slide_max_mm"]) if self.seated else reach * random.uniform(0.45, 1.1)
        return np.array([
            random.uniform(toe - 800, toe + 50) / 100, second / 100, inside("trunk"), inside("elbow_swing"),
            np.radians(random.uniform(0, self.stance["heel_lift_max_deg"])), inside("knee_splay"),
        ])[self.free]


class Differences:
    """Values and central differences for the optimiser, one evaluation for each point."""

    STEP = 1e-6

    def __init__(self, values):
        self.of, self.at = values, None

    def known(self, x):
        if self.at is None or not np.array_equal(x, self.at):
            n = len(x)
            rows = np.vstack([x, x + self.STEP * np.eye(n), x - self.STEP * np.eye(n)])
            f, g = self.of(rows)
            self.at, self.f, self.g = x.copy(), f[0], g[:, 0]
            self.df = (f[1 : n + 1] - f[n + 1 :]) / (2 * self.STEP)
            self.dg = (g[:, 1 : n + 1] - g[:, n + 1 :]) / (2 * self.STEP)
        return self


def descend(values, start):
    """SLSQP from one start."""
    d = Differences(values)
    with np.errstate(all="ignore"):
        result = minimize(
            lambda x: d.known(x).f,
            start,
            jac=lambda x: d.known(x).df,
            constraints={"type": "ineq", "fun": lambda x: d.known(x).g, "jac": lambda x: d.known(x).dg},
            method="SLSQP",
            options={"maxiter": 200, "ftol": 1e-13},
        )
    return result.x


def polished(problem, x, random):
    """Descends again from about an end until nothing is gained: SLSQP sometimes stops early at a crease."""
    best = x
    cost = problem.values(x)[0][0]
    for _ in range(6):
        before = cost
        for _ in range(4):
            near = descend(problem.values, best + 0.03 * random.normal(size=len(best)))
            f, g = problem.values(near)
            if np.isfinite(f[0]) and g.min() > -FEASIBLE and f[0] < cost:
                best, cost = near, f[0]
        if before - cost < 1e-9:
            break
    return best


def basins(problem, ends, random):
    """Local minima with their costs and how many starts ended there, cheapest first."""
    found = []
    shown = lambda x: problem.full(x)[0] * SHOWN
    for polish in (False, True):
        groups = []
        for x, hits in ends if not polish else found:
            x = polished(problem, x, random) if polish else x
            cost = problem.values(x)[0][0]
            for group in groups:
                if np.all(abs(shown(x) - shown(group[0])) < SAME):
                    if cost < group[2]:
                        group[0], group[2] = x, cost
                    group[1] += hits
                    break
            else:
                groups.append([x, hits, cost])
        found = [(g[0], g[1]) for g in sorted(groups, key=lambda g: g[2])]
    return [{"cost": float(problem.values(x)[0][0]), "hits": hits, "free": named(shown(x))} for x, hits in found]


def named(values):
    return {name: float(v) for name, v in zip(NAMES, values)}


def least_broken(problem, starts):
    """Least possible largest violation, for a problem without a posture inside its limits."""

    def values(rows):
        rows = np.atleast_2d(rows)
        _, g = problem.values(rows[:, :-1])
        return rows[:, -1], np.vstack([g + rows[:, -1], rows[:, -1]])

    best = np.inf
    for start in starts:
        worst = -problem.values(start)[1].min()
        for _ in range(3):
            x = descend(values, np.append(start, worst))[:-1]
            again = -problem.values(x)[1].min()
            if not np.isfinite(again) or again > worst - 1e-7:
                break
            start, worst = x, again
        best = min(best, worst)
    return float(best)


def solve(job):
    index, problems = job
    problem = Problem(problems, problems["cases"][index])
    random = np.random.default_rng(7000 + index)
    starts = [problem.draw(random) for _ in range(STARTS)]
    ends = []
    for start in starts:
        x = descend(problem.values, start)
        f, g = problem.values(x)
        if np.isfinite(f[0]) and g.min() > -FEASIBLE:
            ends.append((x, 1))
    result = {"case": index, "reached": len(ends), "basins": basins(problem, ends, random) if ends else []}
    result["least_broken"] = None if ends else least_broken(problem, starts)
    result["samples"] = []
    for start in starts[:SAMPLES]:
        row = problem.full(start)
        residuals, limits, gaps = problem.evaluate(row)
        result["samples"].append({
            "free": named(row[0] * SHOWN),
            "terms": {n: float(v) for n, v in zip(TERMS, residuals[:, 0] ** 2)},
            "gaps_mm": {n: float(v[0]) for n, v in gaps.items()},
            "broken": float(max(0.0, *(-v[0] for v in limits.values()))),
        })
    return result


def rounded(value):
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, list):
        return [rounded(v) for v in value]
    return round(value, 9) if isinstance(value, float) else value


def main():
    problems = json.loads((CASES / "posture-problems.json").read_text())
    chosen = [int(a) for a in sys.argv[1:]] or range(len(problems["cases"]))
    with ProcessPoolExecutor(3) as pool:
        results = list(pool.map(solve, [(i, problems) for i in chosen]))
    if len(sys.argv) == 1:
        lines = ",\n".join(json.dumps(rounded(r), separators=(",", ":")) for r in results)
        (CASES / "posture-golden.json").write_text(f"[\n{lines}\n]\n")
    for r in results:
        label = f"{r['case']:3} {problems['stances'][problems['cases'][r['case']]['stance']]['name']:7}"
        if r["basins"]:
            print(label, r["reached"], [(round(b["cost"], 5), b["hits"]) for b in r["basins"]])
        else:
            print(label, "out of reach by", r["least_broken"])
    print(f"{len(results)} cases, {sum(not r['basins'] for r in results)} out of reach, "
          f"{sum(len(r['basins']) > 1 for r in results)} with more than one basin, SciPy {scipy.__version__}")


if __name__ == "__main__":
    main()
