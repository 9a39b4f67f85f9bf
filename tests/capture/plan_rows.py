"""What is usually shown from a bare block to a closed short block, and which checks show it.

The rows are common practice of the trade, no source. Each names the checks of the shipped plans
that show it, a hold point that hides it, how many readings its grids take, and what is worked out
from them.
"""

from msgspec import Struct


class Row(Struct, frozen=True):
    """One row: ``checks`` by key, ``grids`` key -> readings, ``hidden_by`` a hold point."""

    what: str
    checks: tuple[str, ...]
    hidden_by: str
    grids: dict[str, int] = {}
    computed: tuple[str, ...] = ()


ROWS = (
    Row("identity, state, owner's instructions and declined advice",
        ("A1.identity", "A1.state", "A1.photographed", "A1.owner"), "paint"),
    Row("leak test of the water jacket",
        ("L1.at-start", "L1.held", "L1.at-end", "L1.drop", "L1.dry"), "paint",
        computed=("L1.drop",)),
    Row("galleries brushed, blown, looked through",
        ("Q-main.brushed", "Q-main.blown", "Q-main.seen-through"), "gallery-plugs"),
    Row("plugs counted out and in, old depth",
        ("N1.out", "N1.in", "N1.left-over", "N1.none-open", "GO1.old-depth", "KO1.old-depth"),
        "sump", computed=("N1.left-over",)),
    Row("deck flatness", ("DK.flatness",), "head", {"DK.flatness": 6}),
    Row("plug bore diameter", ("GB1.bore", "GB1.bore-round", "KB1.bore", "KB1.bore-round"),
        "gallery-plugs", {"GB1.bore": 4, "KB1.bore": 4}, ("GB1.bore-round",)),
    Row("plug outside diameter, press fit",
        ("GB1.plug", "GB1.plug-round", "GB1.press", "KB1.plug", "KB1.plug-round", "KB1.press"),
        "gallery-plugs", {"GB1.plug": 4, "KB1.plug": 4}, ("GB1.press", "GB1.plug-round")),
    Row("installed depth, by two datums",
        ("G1.depth", "G1.tilt", "G1.past-chamfer", "G1.depth-by-shoulder", "G1.datums-agree",
         "K1.depth", "K1.tilt"),
        "front-cover", {"G1.depth": 4, "G1.from-shoulder": 4}, ("G1.tilt", "G1.past-chamfer")),
    Row("margin to the oil passage behind a plug, two ways",
        ("GB1.passage", "G1.margin", "G1.margin-seen", "G1.margins-agree"), "front-cover",
        computed=("G1.margin",)),
    Row("threaded plug: thread, sealant and batch, torque, turns, below the face",
        ("H1.thread", "H1.sealant", "H1.torque", "H1.turns", "H1.below-face"), "front-cover"),
    Row("rear cam plug: depth, cup, and from the other end",
        ("RC.depth", "RC.cup", "RC.from-front", "RC.depth-by-front", "RC.ends-agree"),
        "backplate", computed=("RC.depth-by-front",)),
    Row("cam bearing oil hole against the gallery",
        ("C1.oil-hole", "C1.pin", "C1.routes-agree", "C1.wire"), "camshaft"),
    Row("cam bearing bore, journal, clearance, end play",
        ("C1.bore", "C1.journal", "C1.clearance", "CE.end-play"), "front-cover",
        {"C1.bore": 4, "CE.forward": 3, "CE.back": 3}, ("C1.clearance", "CE.end-play")),
    Row("main housing bore", ("MB1.housing", "MB1.housing-round"), "crank",
        {"MB1.housing": 6}, ("MB1.housing-round",)),
    Row("crank journal",
        ("MB1.journal", "MB1.journal-round", "MB1.journal-taper", "MB1.journal-smallest"), "crank",
        {"MB1.journal": 4}, ("MB1.journal-round", "MB1.journal-taper", "MB1.journal-smallest")),
    Row("oil clearance", ("MB1.bore", "MB1.clearance", "MB1.strip", "MB1.routes-agree"), "crank",
        computed=("MB1.clearance",)),
    Row("thrust, end float, from both ends",
        ("T1.end-float", "T1.end-float-rear", "T1.ends-agree"), "backplate",
        computed=("T1.end-float", "T1.end-float-rear")),
    Row("turning torque after each cap and each piston",
        ("M1.turning-after", "M1.turning-jump", "R1.turning-after", "R1.turning-jump"), "sump",
        computed=("M1.turning-jump", "R1.turning-jump")),
    Row("cylinder bore: size, taper, out of round",
        ("B1.bore", "B1.bore-largest", "B1.bore-round", "B1.bore-taper"), "pistons",
        {"B1.bore": 6}, ("B1.bore-largest", "B1.bore-round", "B1.bore-taper")),
    Row("piston skirt, piston to wall", ("B1.skirt-height", "B1.skirt", "B1.piston-clearance"),
        "pistons", computed=("B1.piston-clearance",)),
    Row("ring end gap", ("B1.gap-top", "B1.gap-second", "B1.gap-oil", "B1.gap-to-bore"),
        "pistons", computed=("B1.gap-to-bore",)),
    Row("deck clearance, measured and by design",
        ("D1.deck-clearance", "DH.by-design", "D1.as-designed"), "head",
        {"D1.deck-clearance": 4}, ("DH.by-design",)),
    Row("rod side clearance, bolt stretch",
        ("R1.side-clearance", "R1.free-length", "R1.stretched", "R1.stretch-1", "R1.stretch-2"),
        "sump", {"R1.free-length": 2, "R1.stretched": 2}, ("R1.stretch-1",)),
    Row("torque stages and lubricant",
        ("M1.lubricant", "M1.stage-1", "M1.stage-2", "M1.stage-angle", "R1.stage-1", "R1.stage-2",
         "R1.stage-angle"),
        "sump", {"M1.stage-1": 2, "R1.stage-1": 2}),
    Row("priming: oil seen at every point",
        ("PR.pressure", "O-main-1.oil-seen", "O-cam-front.oil-seen", "O-rocker-rear.oil-seen"),
        "sump"),
)  # fmt: skip
