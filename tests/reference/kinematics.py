"""Writes tests/cases/kinematics-golden.json: random poses of the problems in posture-problems.json by Pinocchio.

The rider is a kinematic tree of revolute and prismatic joints, both sides, with point masses at the segments' centres of
mass. Nothing is solved in closed form: limbs are chains of links from the ankle or the shoulder whose far end must meet
the hip or the grip, and Newton's method on Pinocchio's Jacobians closes them. Joint angles are what the tree's joints and
frames then say. The cockpit is such a chain too: post, riser, clamp, bar.

Frame: x forward, y left, z up, mm; a rotation about +y by a positive angle leans z forward.
"""

import json
from pathlib import Path

import numpy as np
import pinocchio as pin

CASES = Path(__file__).parent.parent / "cases"
POSES_PER_CASE = 3
OBLIQUE_GRIP = 10.0
NECK_SHARE = 2.0 / 3.0
GRAVITY = 9.80665
CONTACT_AREA_RATIO = 1.6

AXES = {"x": pin.JointModelRX, "y": pin.JointModelRY, "z": pin.JointModelRZ}
SLIDES = {"x": pin.JointModelPX, "z": pin.JointModelPZ}


class Tree:
    """A Pinocchio model built joint by joint, with joints and points by name."""

    def __init__(self):
        self.model = pin.Model()
        self.q = {}

    def joint(self, name, parent, kind, at=(0, 0, 0)):
        parent_id = self.model.getJointId(parent) if parent else 0
        make = SLIDES[kind[1]] if kind[0] == "p" else AXES[kind[1]]
        self.model.addJoint(parent_id, make(), pin.SE3(np.eye(3), np.array(at, float)), name)
        return name

    def point(self, name, joint, at=(0, 0, 0)):
        placement = pin.SE3(np.eye(3), np.array(at, float))
        joint_id = self.model.getJointId(joint) if joint else 0
        self.model.addFrame(pin.Frame(name, joint_id, 0, placement, pin.FrameType.OP_FRAME))

    def mass(self, joint, mass, at):
        inertia = pin.Inertia(mass, np.array(at, float), np.zeros((3, 3)))
        self.model.appendBodyToJoint(self.model.getJointId(joint), inertia, pin.SE3.Identity())

    def index(self, joint):
        return self.model.joints[self.model.getJointId(joint)].idx_q


def add_cockpit(tree, s):
    """Post top, riser, bar roll in the clamp, bar; the left grip's frame has y along the grip."""
    tree.joint("riser", None, "ry", (s["base_x"], 0, s["base_z"]))
    tree.joint("roll", "riser", "ry", (0, 0, s["riser_height"] + s["clamp_stack"]))
    tree.point("bar_centre", "roll")
    tree.joint("sweep", "roll", "rz", (-s["pullback"], s["grip_to_grip"] / 2, s["rise"]))
    tree.joint("upsweep", "sweep", "rx")
    tree.point("grip", "upsweep")
    tree.joint("board", None, "ry")


def add_side(tree, side, rider, s):
    """One leg from the board and one arm from the shoulder; side is +1 left, -1 right, and names end in l or r."""
    l, n = rider["links_mm"], "l" if side > 0 else "r"
    toe_x = s["stirrup"] + s["toe_stop_offset"]
    # The board turns about the origin; its top face holds the toe stop at that x.
    along = toe_x / np.cos(np.radians(s["board_pitch_deg"]))
    lateral = side * s["foot_lateral"]
    tree.point("toe_stop_" + n, "board", (along, lateral, 0))
    tree.joint("slide_" + n, "board", "px", (along, lateral, 0))
    tree.point("toe_" + n, "slide_" + n)
    tree.joint("lift_" + n, "slide_" + n, "ry", (-l["toe_to_ball"], 0, 0))
    tree.point("ball_" + n, "lift_" + n)
    tree.point("heel_" + n, "lift_" + n, (l["toe_to_ball"] - l["toe_to_heel"], 0, 0))
    ankle = (l["toe_to_ball"] - l["toe_to_ankle"], 0, l["ankle_height"])
    tree.point("ankle_" + n, "lift_" + n, ankle)
    tree.point("foot_com_" + n, "lift_" + n, (l["toe_to_ball"] - l["toe_to_foot_com"], 0, l["foot_com_height"]))
    # Ankle: undo board and lift, then aim z along the line to the hip so that x stays forward, then splay about it.
    tree.joint("level_" + n, "lift_" + n, "ry", ankle)
    tree.joint("leg_tilt_" + n, "level_" + n, "rx")
    tree.joint("leg_aim_" + n, "leg_tilt_" + n, "ry")
    tree.point("leg_line_" + n, "leg_aim_" + n)
    tree.joint("splay_" + n, "leg_aim_" + n, "rz")
    tree.joint("shank_" + n, "splay_" + n, "ry")
    tree.joint("knee_" + n, "shank_" + n, "ry", (0, 0, l["shank"]))
    tree.point("knee_point_" + n, "knee_" + n)
    tree.point("leg_end_" + n, "knee_" + n, (0, 0, l["thigh"]))
    # Arm: from the trunk, turned upright again, x along the line to the grip so that z stays up, then swing about it.
    tree.point("hip_" + n, "trunk", (0, side * l["hip_half"], 0))
    shoulder = (l["protraction"], side * l["shoulder_half"], l["trunk"])
    tree.point("shoulder_" + n, "trunk", shoulder)
    tree.joint("upright_" + n, "trunk", "ry", shoulder)
    tree.joint("arm_turn_" + n, "upright_" + n, "rz")
    tree.joint("arm_aim_" + n, "arm_turn_" + n, "ry")
    tree.point("arm_line_" + n, "arm_aim_" + n)
    tree.joint("swing_" + n, "arm_aim_" + n, "rx")
    tree.joint("upper_arm_" + n, "swing_" + n, "ry")
    tree.joint("elbow_" + n, "upper_arm_" + n, "ry", (l["upper_arm"], 0, 0))
    tree.point("elbow_point_" + n, "elbow_" + n)
    tree.point("wrist_" + n, "elbow_" + n, (l["forearm"] - l["wrist_to_grip"], 0, 0))
    tree.point("arm_end_" + n, "elbow_" + n, (l["forearm"], 0, 0))


def add_masses(tree, rider):
    l = rider["links_mm"]
    for seg in rider["segments"]:
        m, f = seg["mass_kg"], seg["fraction"]
        if seg["part"] in ("upper_trunk", "pelvis"):
            tree.mass("trunk", m, (0, 0, f * l["trunk"]))
        elif seg["part"] == "head":
            tree.mass("neck", m, (0, 0, f * l["neck"]))
        else:
            for n in "lr":
                joint, at = {
                    "upper_arm": ("upper_arm_", (f * l["upper_arm"], 0, 0)),
                    "forearm": ("elbow_", (f * l["forearm"], 0, 0)),
                    "hand": ("elbow_", (f * l["forearm"], 0, 0)),
                    "thigh": ("knee_", (0, 0, (1 - f) * l["thigh"])),
                    "shank": ("shank_", (0, 0, (1 - f) * l["shank"])),
                    "foot": ("lift_", (l["toe_to_ball"] - l["toe_to_foot_com"], 0, l["foot_com_height"])),
                }[seg["part"]]
                tree.mass(joint + n, m, at)


def build(rider, s):
    tree, l = Tree(), rider["links_mm"]
    add_cockpit(tree, s)
    tree.joint("hips_x", None, "px")
    tree.joint("hips_z", "hips_x", "pz")
    tree.joint("trunk", "hips_z", "ry")
    tree.point("lower_trunk", "trunk", (0, 0, l["lower_trunk"]))
    tree.point("mid_shoulder", "trunk", (0, 0, l["trunk"]))
    tree.joint("neck", "trunk", "ry", (0, 0, l["trunk"] + l["neck_base"]))
    tree.point("neck_base", "neck")
    tree.point("head", "neck", (0, 0, l["neck"]))
    for side in (1, -1):
        add_side(tree, side, rider, s)
    add_masses(tree, rider)
    return tree


class Body:
    """A tree with its joint coordinates."""

    def __init__(self, tree):
        self.tree, self.model = tree, tree.model
        self.data, self.q = tree.model.createData(), np.zeros(tree.model.nq)

    def set(self, joint, value):
        self.q[self.tree.index(joint)] = value

    def get(self, joint):
        return self.q[self.tree.index(joint)]

    def update(self):
        pin.computeJointJacobians(self.model, self.data, self.q)
        pin.updateFramePlacements(self.model, self.data)

    def frame(self, name):
        return self.data.oMf[self.model.getFrameId(name)]

    def jacobian(self, name):
        return pin.getFrameJacobian(self.model, self.data, self.model.getFrameId(name), pin.LOCAL_WORLD_ALIGNED)

    def close(self, joints, end, target, line, across):
        """Closes a limb from several first guesses, until its line points at the target with `across` the right way up.

        The loop has mirrored solutions: the line's axis turned round, or the limb bent the other way.
        """
        columns = [self.tree.index(j) for j in joints]
        for aim in (0.4, -0.4, 1.1, -1.1):
            for turned in (0.0, 0.8, -0.8):
                self.q[columns] = turned, aim, 0.5, -1.0
                if not self.newton(joints, end, target, line, across):
                    continue
                axes, span = self.frame(line).rotation, self.frame(target).translation - self.frame(line).translation
                bent = self.q[columns[2]] > 0 and self.q[columns[3]] < 0
                # `across` is the axis that the bend starts from: forward for the leg, up for the arm.
                if bent and axes[:, 2 - across] @ span > 0 and axes[across, across] > 0:
                    return True
        return False

    def newton(self, joints, end, target, line, across):
        """Newton on four joints: `end` meets `target`, and so does the line's axis (no part of it along `across`)."""
        columns = [self.tree.index(j) for j in joints]
        for _ in range(60):
            self.update()
            base, span = self.frame(line), self.frame(target).translation - self.frame(line).translation
            sideways = base.rotation[:, across]
            error = np.append(self.frame(end).translation - self.frame(target).translation, sideways @ span)
            if np.abs(error).max() < 1e-10:
                return True
            to_end, turn = self.jacobian(end)[:3], self.jacobian(line)[3:]
            rows = np.vstack([to_end, np.cross(sideways, span) @ turn])[:, columns]
            step = np.linalg.lstsq(rows, -error, rcond=None)[0]
            self.q[columns] += step * min(1.0, 0.3 / max(np.abs(step).max(), 1e-12))
        return np.abs(error).max() < 1e-8


def foam_sag(s, force):
    """Deflection by bisection of the documented force curve."""

    def curve(e):
        corners = [(0, 0), (0.05, 0.6), (0.25, 1.0), (0.65, s["foam_support"])]
        if e > 0.65:
            return s["foam_support"] * (0.35 / (1 - e)) ** 2.3
        return np.interp(e, *zip(*corners))

    low, high = 0.0, 0.97
    for _ in range(200):
        mid = (low + high) / 2
        if curve(mid) * s["foam_f25"] * CONTACT_AREA_RATIO < force:
            low = mid
        else:
            high = mid
    return low * s["foam_thickness"]


def pose(body, rider, stance, case, free):
    """Points, angles and centre of mass of one pose; None where a limb does not reach or is nearly straight."""
    l, s = rider["links_mm"], case["setup"]
    rad = np.radians
    lean, neck = free["lean"], NECK_SHARE * (free["lean"] - stance["gaze_below_horizon_deg"])
    body.q[:] = 0
    mass = sum(seg["mass_kg"] * seg["count"] for seg in rider["segments"])
    sag = foam_sag(s, case["seat_share"] * mass * GRAVITY) if stance["seated"] else 0.0
    xs, zs, _ = zip(*s["seat_line"])
    seat_z = np.interp(free["hip_x"], xs, zs) + s["seat_over_line"] - sag
    slide = free["hip_z_or_slide"] if stance["seated"] else 0.0
    hip_z = seat_z + l["hip_over_seat"] if stance["seated"] else free["hip_z_or_slide"]
    body.set("riser", -rad(s["riser_angle_deg"]))
    body.set("roll", -rad(s["bar_roll_deg"]))
    body.set("sweep", rad(s["sweep_deg"]))
    body.set("upsweep", rad(s["upsweep_deg"]))
    body.set("board", -rad(s["board_pitch_deg"]))
    body.set("hips_x", free["hip_x"])
    body.set("hips_z", hip_z)
    body.set("trunk", rad(lean))
    body.set("neck", -rad(neck))
    body.update()
    grip = body.frame("grip").copy()
    mirror = np.diag([1.0, -1.0, 1.0])
    for n, side in (("l", 1), ("r", -1)):
        body.set("slide_" + n, -slide)
        body.set("lift_" + n, rad(free["heel"]))
        body.set("level_" + n, rad(s["board_pitch_deg"] - free["heel"]))
        body.set("splay_" + n, side * rad(free["splay"]))
        body.set("upright_" + n, -rad(lean))
        body.set("swing_" + n, side * rad(free["swing"]))
    # The right grip mirrors the left one.
    right = body.model.getFrameId("grip_r")
    body.model.frames[right].placement = pin.SE3(np.eye(3), mirror @ grip.translation)
    for n, target in (("l", "grip"), ("r", "grip_r")):
        leg = ["leg_tilt_" + n, "leg_aim_" + n, "shank_" + n, "knee_" + n]
        arm = ["arm_turn_" + n, "arm_aim_" + n, "upper_arm_" + n, "elbow_" + n]
        if not body.close(leg, "leg_end_" + n, "hip_" + n, "leg_line_" + n, 0):
            return None
        if not body.close(arm, "arm_end_" + n, target, "arm_line_" + n, 2):
            return None
    knee, elbow = -body.get("knee_l"), -body.get("elbow_l")
    if not (rad(6) < knee < rad(165) and rad(6) < elbow < rad(165)):
        return None
    at = lambda name: body.frame(name).translation
    foot, trunk = body.data.oMi[body.model.getJointId("lift_l")].rotation, body.frame("mid_shoulder").rotation
    shank = foot.T @ body.data.oMi[body.model.getJointId("shank_l")].rotation[:, 2]
    thigh_down = -(trunk.T @ body.data.oMi[body.model.getJointId("knee_l")].rotation[:, 2])
    upper_arm = body.data.oMi[body.model.getJointId("upper_arm_l")].rotation[:, 0]
    forearm = body.data.oMi[body.model.getJointId("elbow_l")].rotation[:, 0]
    between = lambda a, b: np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
    com = pin.centerOfMass(body.model, body.data, body.q)
    assert abs(com[1]) < 1e-8 and abs(body.data.mass[0] - mass) < 1e-9
    points = {
        "ball": at("ball_l"), "heel": at("heel_l"), "toe": at("toe_l"), "toe_stop": at("toe_stop_l"),
        "ankle": at("ankle_l"), "knee": at("knee_point_l"), "hip": at("hip_l"), "lower_trunk": at("lower_trunk"),
        "shoulder": at("shoulder_l"), "elbow": at("elbow_point_l"), "wrist": at("wrist_l"), "grip": at("grip"),
        "seat": np.array([free["hip_x"], 0, seat_z]), "neck": at("neck_base"), "head": at("head"),
        "foot_com": at("foot_com_l"), "bar_centre": at("bar_centre"), "grip_axis": grip.rotation[:, 1], "com": com,
    }
    angles = {
        # Side view: the shank against the sole's normal, the thigh against the trunk's line.
        "ankle": np.degrees(np.arctan2(shank[0], shank[2])),
        "knee": np.degrees(knee),
        "hip": np.degrees(np.arctan2(thigh_down[0], -thigh_down[2])),
        "trunk": between(trunk[:, 2], np.array([0, 0, 1.0])) * np.sign(trunk[0, 2]),
        "shoulder": between(upper_arm, -trunk[:, 2]),
        "elbow": np.degrees(elbow),
        "wrist_ulnar": between(forearm, grip.rotation[:, 1]) - 90.0 - OBLIQUE_GRIP,
        "neck": neck,
    }
    return {
        "free": free,
        "points_mm": {k: [round(float(x), 8) for x in v] for k, v in points.items()},
        "angles_deg": {k: round(float(v), 10) for k, v in angles.items()},
    }


def draw(random, stance, case, rider):
    """Free variables all over what a body can do, well beyond the stance's own limits."""
    l, s = rider["links_mm"], case["setup"]
    reach = l["shank"] + l["thigh"]
    toe = s["stirrup"] + s["toe_stop_offset"]
    seated = stance["seated"]
    between = lambda low, high: round(float(random.uniform(low, high)), 4)
    return {
        "hip_x": between(toe - 650, toe - 250) if seated else between(toe - 600, toe + 50),
        "hip_z_or_slide": between(0, 120) if seated else between(0.55 * reach, 1.15 * reach),
        "lean": between(-15, 75),
        "swing": between(-20, 100),
        "heel": 0.0 if seated else between(0, 40),
        "splay": between(-15, 60),
    }


def main():
    problems = json.loads((CASES / "posture-problems.json").read_text())
    random = np.random.default_rng(20240301)
    poses, tried = [], 0
    for index, case in enumerate(problems["cases"]):
        rider, stance = problems["riders"][case["rider"]], problems["stances"][case["stance"]]
        tree = build(rider, case["setup"])
        tree.point("grip_r", None)
        body = Body(tree)
        found = 0
        while found < POSES_PER_CASE:
            tried += 1
            made = pose(body, rider, stance, case, draw(random, stance, case, rider))
            if made:
                poses.append({"case": index, **made})
                found += 1
    lines = ",\n".join(json.dumps(p, separators=(",", ":")) for p in poses)
    (CASES / "kinematics-golden.json").write_text(f"[\n{lines}\n]\n")
    print(f"{len(poses)} poses of {tried} drawn, Pinocchio {pin.__version__}")


main()
