import type { BoardSketch } from "../../app/sketch-board.js";
import { type Paint, wrap } from "../text.js";

/** What a sketch made, and how much of it is assumed. */
export function renderSketch(made: BoardSketch, paint: Paint): string[] {
  const { title, board, parts, nets, pins, assumedParts, assumedPins, wiredOtherwise } = made;
  const percent = Math.round(wiredOtherwise * 100);
  const lines = [
    paint.bold(`${title} (${board}): ${parts} parts, ${nets} nets, ${pins} pins`),
    ...wrap(
      `${assumedParts.length} parts and ${assumedPins} pins are assumed; a reading at an assumed pin counts as if it were at the wrong place in ${percent} of 100 cases.`,
    ),
    ...made.standIns.flatMap(({ name, type, why }) => wrap(`${name} is taken for ${type}: ${why}.`, "  ")),
  ];
  if (made.ownTypes.length > 0)
    lines.push(...wrap(`Part types that stand beside the board: ${made.ownTypes.join(", ")}.`));
  for (const sentence of made.refined) lines.push(...wrap(sentence, `  ${paint.green("known")} `));
  for (const sentence of made.contradictions)
    lines.push(...wrap(sentence, `  ${paint.yellow("contradiction")} `));
  for (const { net, phase, reason } of made.unsettled)
    lines.push(...wrap(`${net} in ${phase}: ${reason}`, `  ${paint.yellow("unexplained")} `));
  for (const finding of made.findings) lines.push(...wrap(finding, `  ${paint.yellow("look")} `));
  lines.push("", ...wrap(`Written: ${made.written.join(", ")}`));
  return lines;
}
