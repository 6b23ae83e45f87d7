import { freeInstruments, type Instrument } from "../../core/find/case/case.js";
import type { RepairKind, TestKind } from "../../core/find/plan/costs.js";
import { readingStep, repairStep } from "../../core/find/practice/policy.js";
import type { PracticeStep, ReadingAsked } from "../../core/find/practice/step.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { Misread } from "./context.js";
import { type FoundPlace, findPlace, isRailPlace } from "./place.js";
import { instrumentWords } from "./words.js";

const repairWords: ReadonlyMap<string, RepairKind> = new Map([
  ["replace", "replace"],
  ["swap", "replace"],
  ["reseat", "reseat"],
  ["resolder", "resolder"],
  ["clean", "clean"],
]);

/**
 * Reads what a player asks of a simulated machine: a place with an instrument (`U12.6`, `U12.6 scope`, `+5V`,
 * `+5V short`, `U4.7-U9.3`, `C18 eye`, `board finger`, `supply`), something the machine does (`keys`), or work
 * (`replace U12`, `reseat U5`, `piggyback U17`).
 */
export function readAsk(
  line: string,
  prepared: PreparedBoard,
  owned: readonly Instrument[],
): PracticeStep | Misread {
  const words = line
    .trim()
    .split(/\s+/)
    .filter((word) => word !== "");
  const [first = "", second = ""] = words;
  const { circuit, data, board } = prepared;
  const repair = repairWords.get(first.toLowerCase());
  if (repair !== undefined || first.toLowerCase() === "piggyback") {
    const found = findPlace(circuit, [second], "part");
    if ("message" in found) return found;
    if (found.place.kind !== "part")
      return { message: `'${second}' is no part`, hint: "For example: replace U12." };
    const { label } = found.place;
    if (repair !== undefined) return repairStep(prepared, label, repair);
    return readingStep(data.costs, "piggyback", `piggyback:${label}`, label, "none", true);
  }
  const observable = data.model.observables.find(({ id }) => id === first.toLowerCase());
  if (observable !== undefined && words.length === 1) {
    if (!describes(board.chain, observable.id))
      return { message: `the board file does not describe its ${observable.title.toLowerCase()}` };
    return readingStep(data.costs, "symptom", `symptom:${observable.id}`, observable.id, "none", true);
  }
  const partTool = /^(?:eye|finger|tester|chip-tester|board)$/i;
  const found = findPlace(circuit, words, words.some((word) => partTool.test(word)) ? "part" : "net");
  if ("message" in found) return found;
  return readProbe(found, words.slice(found.words), prepared, owned);
}

function describes(chain: PreparedBoard["board"]["chain"], observable: string): boolean {
  if (observable === "memory-figure") return chain.memoryFigure;
  if (observable === "reaction") return chain.keys !== undefined;
  return observable === "whole" || Object.hasOwn(chain, observable);
}

function readProbe(
  found: FoundPlace,
  words: readonly string[],
  prepared: PreparedBoard,
  owned: readonly Instrument[],
): ReadingAsked | Misread {
  const { place } = found;
  const { wiring } = prepared.circuit;
  const step = (kind: TestKind, id: string, at: string, tool: Instrument, powered = true): ReadingAsked =>
    readingStep(prepared.data.costs, kind, id, at, tool, powered);
  const isShort = words.some((word) => /^(?:short|unpowered|off)$/i.test(word));
  const named = words
    .map((word) => instrumentWords.get(word.toLowerCase()))
    .find((tool) => tool !== undefined);
  if (named !== undefined && !owned.includes(named) && !freeInstruments.includes(named))
    return {
      message: `there is no ${named} at hand`,
      hint: `At hand: ${[...owned, ...freeInstruments].join(", ")}.`,
    };
  switch (place.kind) {
    case "supply":
      return step("current", "current", "supply", "multimeter");
    case "board":
      if (named === "eye") return step("visual-sweep", "visual-sweep", "board", "eye", false);
      return step("heat-sweep", "heat-sweep", "board", "finger");
    case "pins":
      return step("continuity", `continuity:${found.at}`, found.at, "multimeter", false);
    case "part":
      return readPart(place.label, named, step);
    default: {
      const net = wiring.nets[place.net];
      if (net === undefined) return { message: `${place.label} is connected to nothing` };
      if (isShort) return step("resistance", `short:${net}`, `net:${net}`, "multimeter", false);
      if (isRailPlace(prepared.circuit, place)) {
        if (named === "oscilloscope") return step("ripple", `ripple:${net}`, `rail:${net}`, "oscilloscope");
        return place.kind === "pin"
          ? step("rail-at-pin", `rail-at:${place.label}`, place.label, "multimeter")
          : step("rail", `rail:${net}`, `rail:${net}`, "multimeter");
      }
      const tool = named ?? owned.find((one) => one === "logic-probe") ?? "multimeter";
      if (tool === "twin") return step("comparison", `twin:${net}`, found.at, "twin");
      const kind = tool === "oscilloscope" || tool === "multimeter" ? tool : "logic-probe";
      return step(kind, `${kind}:${net}`, found.at, kind);
    }
  }
}

function readPart(
  ref: string,
  tool: Instrument | undefined,
  step: (kind: TestKind, id: string, at: string, tool: Instrument, powered?: boolean) => ReadingAsked,
): ReadingAsked | Misread {
  switch (tool) {
    case "eye":
      return step("visual", `visual:${ref}`, ref, "eye", false);
    case "finger":
      return step("heat", `heat:${ref}`, ref, "finger");
    case "chip-tester":
      return step("chip-tester-socketed", `tester:${ref}`, ref, "chip-tester", false);
    case "multimeter":
      return step("device", `device:${ref}`, ref, "multimeter", false);
    default:
      return {
        message: `what to do with ${ref} is missing`,
        hint: `For example: ${ref} finger, ${ref} eye, replace ${ref}.`,
      };
  }
}
