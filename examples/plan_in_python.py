"""The planner as a library: what fence readings do six strips need, and what is left of the plate?"""

from stripplan import Job, Plate, Strip, load_rig, plan

job = Job(
    name="in python",
    plates=(Plate(name="sheet", length=1250, width=600, thickness=4, material="mild steel"),),
    parts=(Strip(name="slat", width=70, quantity=4), Strip(name="edge", width=45, quantity=2)),
)

if __name__ == "__main__":
    made = plan(job, load_rig())
    for cut in made.cuts:
        print(f"cut {cut.number}: fence {cut.fence_reading:g}, end stop {cut.passes[0].end_stop:g}")
    for piece in made.pieces:
        if piece.kind == "offcut":
            print(f"left: {piece.id}, {piece.mass:.1f} kg")
