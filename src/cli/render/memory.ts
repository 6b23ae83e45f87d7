import type { SimulatedMarch } from "../../app/memory-simulate.js";
import { type Paint, padEnd, padStart, wrap } from "../text.js";

/** What a march test catches, for people. */
export function renderSimulated(simulated: SimulatedMarch, paint: Paint): string[] {
  const { title, notation, addresses, wordBits, operations, backgrounds, drawnContents, classes } = simulated;
  const word = wordBits === 1 ? "1 bit" : `${wordBits} bits, backgrounds ${backgrounds.join(", ")}`;
  const lines = [
    ...(title === undefined ? [] : [paint.bold(title)]),
    ...wrap(notation),
    ...wrap(`${addresses} words of ${word}: ${operations} operations.`),
    drawnContents === undefined
      ? "Tried with every initial content."
      : `Tried with ${drawnContents} initial contents.`,
    "",
  ];
  for (const { faultClass, title: meaning, detected, total } of classes) {
    const count = `${padStart(String(detected), 6)} of ${padEnd(String(total), 6)}`;
    const mark = detected === total ? paint.green("all ") : detected === 0 ? paint.red("none") : "some";
    lines.push(`  ${padEnd(faultClass, 6)} ${count} ${mark}  ${meaning}`);
  }
  return lines;
}
