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
    "store/agree.py",
    "store/book.py",
    "store/branches/chains.py",
    "store/branches/clashes.py",
    "store/branches/forks.py",
    "store/branches/merges.py",
    "store/branches/views.py",
    "store/budgets/budget.py",
    "store/budgets/grid.py",
    "store/budgets/shapes.py",
    "store/budgets/spread.py",
    "store/budgets/trials.py",
    "store/budgets/worth.py",
    "store/change.py",
    "store/characteristic.py",
    "store/codec.py",
    "store/copies/copying.py",
    "store/copies/merge.py",
    "store/copies/other_copy.py",
    "store/files/whose.py",
    "store/formulas/evaluate.py",
    "store/formulas/formula.py",
    "store/formulas/wiring.py",
    "store/holds.py",
    "store/ids.py",
    "store/index.py",
    "store/judge.py",
    "store/known/as_read.py",
    "store/known/entry_named.py",
    "store/ledger.py",
    "store/many_jobs/dots.py",
    "store/many_jobs/over_jobs.py",
    "store/many_jobs/shop_file.py",
    "store/many_jobs/sought.py",
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
    "store/photos.py",
    "store/plan.py",
    "store/proving/kept.py",
    "store/proving/permitted.py",
    "store/proving/recomputed.py",
    "store/shop.py",
    "store/signing/certificate.py",
    "store/signing/key_file.py",
    "store/standing.py",
    "store/standings/attempted.py",
    "store/standings/check_state.py",
    "store/standings/stocktaking.py",
    "store/standings/waivers.py",
    "store/told/suspicion.py",
    "store/told/telling.py",
    "store/verify.py",
    "store/ways_out/export.py",
    "store/ways_out/listing.py",
    "store/ways_out/tables.py",
    "store/written/acts.py",
    "store/written/bench_acts.py",
    "store/written/closing.py",
    "store/written/consequences.py",
    "store/written/plan_acts.py",
    "store/written/refusals.py",
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
