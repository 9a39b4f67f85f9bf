"""Hold each core file to its floor of branch coverage; silent when all hold.

Floors, not goals: a test that asserts nothing covers lines too, so killed mutants count for more
(see DEVELOPERS.md).
"""

import json
import sys
from pathlib import Path

FLOOR_PERCENT = 90.0
CORE = (
    "annotate/coverage.py",
    "annotate/estimates/unseen.py",
    "annotate/estimates/weighted.py",
    "annotate/fit.py",
    "annotate/flat_face/face.py",
    "annotate/holes.py",
    "annotate/mathematics/infer.py",
    "annotate/mathematics/orthogonal.py",
    "annotate/mathematics/student.py",
    "annotate/overlap.py",
    "annotate/quantity.py",
    "annotate/scale.py",
    "annotate/sight/sighting.py",
    "annotate/size.py",
    "capture/bench_work.py",
    "capture/entry.py",
    "capture/hand.py",
    "capture/handing_over.py",
    "capture/journey.py",
    "capture/printed.py",
    "capture/readings.py",
    "capture/slips.py",
    "capture/typed.py",
    "capture/verifying.py",
    "capture/vouched.py",
    "store/acts.py",
    "store/agree.py",
    "store/as_read.py",
    "store/attempted.py",
    "store/bench_acts.py",
    "store/book.py",
    "store/budget.py",
    "store/chains.py",
    "store/change.py",
    "store/characteristic.py",
    "store/check_state.py",
    "store/clashes.py",
    "store/closing.py",
    "store/codec.py",
    "store/consequences.py",
    "store/copying.py",
    "store/dots.py",
    "store/entry_named.py",
    "store/evaluate.py",
    "store/export.py",
    "store/forks.py",
    "store/formula.py",
    "store/grid.py",
    "store/holds.py",
    "store/ids.py",
    "store/index.py",
    "store/judge.py",
    "store/kept.py",
    "store/ledger.py",
    "store/listing.py",
    "store/merge.py",
    "store/merges.py",
    "store/other_copy.py",
    "store/over_jobs.py",
    "store/pack/archive.py",
    "store/pack/audit.py",
    "store/pack/chain_files.py",
    "store/pack/checkpoint.py",
    "store/pack/contents.py",
    "store/pack/inspection.py",
    "store/pack/job_closed.py",
    "store/pack/key_copies.py",
    "store/pack/lines.py",
    "store/pack/names.py",
    "store/pack/own_keys.py",
    "store/pack/packing.py",
    "store/pack/report_check.py",
    "store/pack/signature.py",
    "store/pack/signers.py",
    "store/pack/staging.py",
    "store/pack/taken.py",
    "store/pack/vouching.py",
    "store/pack/zip_entries.py",
    "store/permitted.py",
    "store/photos.py",
    "store/plan.py",
    "store/plan_acts.py",
    "store/recomputed.py",
    "store/refusals.py",
    "store/shapes.py",
    "store/signing/certificate.py",
    "store/signing/key_file.py",
    "store/shop.py",
    "store/shop_file.py",
    "store/sought.py",
    "store/spread.py",
    "store/standing.py",
    "store/stocktaking.py",
    "store/suspicion.py",
    "store/tables.py",
    "store/telling.py",
    "store/trials.py",
    "store/verify.py",
    "store/views.py",
    "store/waivers.py",
    "store/whose.py",
    "store/wiring.py",
    "store/worth.py",
)


def below_the_floor(measured: dict[str, float]) -> list[str]:
    """Return one line for each core file that is missing or below its floor."""
    return [
        f"{name}: {measured[name]:.1f} % covered, the floor is {FLOOR_PERCENT:.0f} %"
        if name in measured
        else f"{name}: a core file that no test loads, or that is gone"
        for name in CORE
        if measured.get(name, 0.0) < FLOOR_PERCENT
    ]


def main() -> int:
    """Return 1 and say why if a floor is not held."""
    report = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    measured = {
        name.replace("\\", "/"): float(file["summary"]["percent_covered"])
        for name, file in report["files"].items()
    }
    low = below_the_floor(measured)
    for line in low:
        sys.stderr.write(f"benchproof: {line}\n")
    return 1 if low else 0


if __name__ == "__main__":
    sys.exit(main())
