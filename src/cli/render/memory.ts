import type { ExplainedMemory } from "../../app/memory-explain.js";
import type { SimulatedMarch } from "../../app/memory-simulate.js";
import { bar, type Paint, padEnd, padStart, percent, sentence, wrap } from "../text.js";

/** What failing addresses say, for people: the explanations with their parts, then what was taken for granted. */
export function renderExplained({ title, explanation }: ExplainedMemory, paint: Paint): string[] {
  const { reads, addresses, cells, explanations, assumptions } = explanation;
  const lines = [
    paint.bold(`${title}: ${reads} failing reads, ${addresses} addresses, ${cells} failing bits`),
  ];
  for (const { title: what, share, explained, unexplained, good, parts } of explanations) {
    lines.push("", ...wrap(sentence(what), `${bar(share, 10)} ${padStart(percent(share), 7)}  `));
    const left = unexplained === 0 ? "" : `, leaves ${unexplained} unexplained`;
    const spared = good === 0 ? "" : `; ${good} bits it would spoil were good`;
    lines.push(...wrap(`Explains ${explained} failing bits${left}${spared}.`, " ".repeat(20)));
    for (const { part, pins, why } of [...parts].sort((a, b) => b.weight - a.weight)) {
      const place = pins.length === 0 || pins.length > 4 ? part : `${part}.${pins.join(", .")}`;
      lines.push(...wrap(`${place}: ${why}`, `${" ".repeat(20)}- `));
    }
  }
  return [...lines, "", "Taken for granted:", ...assumptions.flatMap((text) => wrap(text, "  - "))];
}

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
