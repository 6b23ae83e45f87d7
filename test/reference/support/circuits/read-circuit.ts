import { readFileSync } from "node:fs";
import { testDataPath } from "../check.js";
import { c17Text } from "./c17.js";
import type { Netlist } from "./netlist.js";
import { parseBench } from "./read-bench.js";

/** The benchmark circuits of Brglez and Fujiwara 1985, by size. */
export const circuitNames = [
  "c17",
  "c432",
  "c499",
  "c880",
  "c1355",
  "c1908",
  "c2670",
  "c3540",
  "c5315",
  "c6288",
  "c7552",
] as const;

/** One of `circuitNames`. */
export type CircuitName = (typeof circuitNames)[number];

/** What to say where `readCircuit` gives null. */
export const circuitsAbsent = "the netlists iscas85/*.bench are not in the test data";

/** The circuit of that name; null where the test data holds no netlist of it. c17 is always there. */
export function readCircuit(name: CircuitName): Netlist | null {
  if (name === "c17") return parseBench(c17Text);
  const path = testDataPath(`iscas85/${name}.bench`);
  return path === null ? null : parseBench(readFileSync(path, "utf8"));
}
