import { nearestName } from "../../base/nearest.js";
import type { Board } from "../board.js";
import { type CircuitView, type TypeLookup, viewCircuit } from "./circuit-view.js";
import { findFightingOutputs } from "./fighting-outputs.js";
import { type Finding, ruleIds } from "./finding.js";
import { findMissingDecoupling } from "./missing-decoupling.js";
import { findMissingPullUps } from "./missing-pull-ups.js";
import { findOpenInputs } from "./open-inputs.js";
import { findSinglePinNets } from "./single-pin-nets.js";
import { findUnconnectedSupply } from "./unconnected-supply.js";
import { findUndrivenInputs } from "./undriven-inputs.js";
import { findUnknownTypes } from "./unknown-types.js";
import { findWrongRails } from "./wrong-rail.js";

const rules: readonly ((view: CircuitView) => Finding[])[] = [
  findUnknownTypes,
  findUnconnectedSupply,
  findWrongRails,
  findFightingOutputs,
  findUndrivenInputs,
  findOpenInputs,
  findMissingPullUps,
  findMissingDecoupling,
  findSinglePinNets,
];

/**
 * Checks a board's circuit by rule. Findings that an `accepted` entry of the board covers carry its reason as
 * `explained`; an entry that covers nothing is a finding itself. Listed by rule, then by place as a person would count
 * (`U2` before `U10`). Parts of unknown type are a finding and otherwise passed over.
 */
export function checkBoard(board: Board, types: TypeLookup): Finding[] {
  const view = viewCircuit(board, types);
  const used = new Set<number>();
  const findings = rules
    .flatMap((rule) => rule(view))
    .map((finding): Finding => {
      let explained: string | undefined;
      for (const [i, entry] of board.accepted.entries()) {
        if (entry.rule !== finding.rule || !covers(entry.at, finding.at)) continue;
        used.add(i);
        explained ??= entry.why;
      }
      return explained === undefined ? finding : { ...finding, explained };
    });
  for (const [i, entry] of board.accepted.entries()) {
    if (!used.has(i)) findings.push(unmatched(entry));
  }
  return findings.sort(
    (a, b) => ruleIds.indexOf(a.rule) - ruleIds.indexOf(b.rule) || compareNaturally(a.at, b.at),
  );
}

/** Findings that no `accepted` entry explains: those somebody has to look at. */
export function unexplainedFindings(findings: readonly Finding[]): Finding[] {
  return findings.filter((finding) => finding.explained === undefined);
}

/** `U7` covers all pins of U7; anything else covers itself. */
function covers(accepted: string, at: string): boolean {
  return accepted === at || at.startsWith(`${accepted}.`);
}

function unmatched({ rule, at }: Board["accepted"][number]): Finding {
  const isRule = ruleIds.some((id) => id === rule);
  const nearest = isRule ? undefined : nearestName(rule, ruleIds);
  const reason = isRule
    ? "the check finds nothing of the kind there."
    : `there is no such rule${nearest === undefined ? "." : `; did you mean '${nearest}'?`}`;
  return {
    rule: "accepted-unmatched",
    at,
    message: `The board accepts '${rule}' at ${at}, but ${reason}`,
    severity: "warning",
  };
}

/** Orders texts so that numbers within them count as numbers. */
function compareNaturally(a: string, b: string): number {
  const piecesOf = (text: string): string[] => text.match(/[0-9]+|[^0-9]+/g) ?? [];
  const [x, y] = [piecesOf(a), piecesOf(b)];
  for (let i = 0; i < Math.min(x.length, y.length); i += 1) {
    const [p = "", q = ""] = [x[i], y[i]];
    const difference = Number(p) - Number(q);
    if (Number.isFinite(difference) && difference !== 0) return difference;
    if (p !== q) return p < q ? -1 : 1;
  }
  return x.length - y.length;
}
