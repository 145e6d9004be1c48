/** Pieces and poses come in, as JSON; the paths that the viewer draws of them from above go out. */
import { readFileSync } from "node:fs";
import { planPath } from "../../linkage/page/viewer/plan.mjs";

const bodies = JSON.parse(readFileSync(0, "utf8"));
const paths = bodies.map(([pieces, pose]) => pieces.map((piece) => planPath(piece, pose)));
process.stdout.write(JSON.stringify(paths));
