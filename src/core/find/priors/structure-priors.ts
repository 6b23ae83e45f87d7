import type { FailureData } from "./failure-data.js";
import type { Structure } from "./fault-family.js";
import { connectionRate, platedHoleRate, socketRate } from "./handbook-217f/contacts.js";
import type { AppliedRate } from "./handbook-rate.js";
import { structureRate } from "./trade-factors.js";

/** One place where contacts, tracks or work can be bad: a pin, a pair of pins, or a fitted part. */
export interface StructurePlace {
  readonly structure: Structure;
  readonly ref: string;
  /** The pin, or the two neighbouring pins; empty for a part as a whole. */
  readonly pins: readonly string[];
}

/** A part's pins as the structures see them. */
export interface StructurePart {
  readonly ref: string;
  readonly socketed: boolean;
  /** Pins stand in rows whose order follows their numbers. */
  readonly rows: ReadonlyArray<readonly string[]>;
  /** Net by pin number; pins left open are absent. */
  readonly nets: Readonly<Record<string, string>>;
}

/**
 * Rows of neighbouring pins of a package: two rows for a dual in-line package, one for anything else with
 * numbered pins in line. Pins that are not numbered have no known neighbours.
 */
export function pinRows(packageName: string, pins: readonly string[]): string[][] {
  const numbers = pins.map(Number).filter((n) => Number.isInteger(n) && n > 0);
  if (numbers.length !== pins.length || pins.length < 3) return [];
  const ascending = [...numbers].sort((a, b) => a - b);
  const dual = /DIP(\d+)/i.exec(packageName);
  const half = dual === null ? Number.POSITIVE_INFINITY : Number(dual[1]) / 2;
  const rows = [ascending.filter((n) => n <= half), ascending.filter((n) => n > half)];
  return rows.filter((row) => row.length > 0).map((row) => row.map(String));
}

/**
 * Every place of a part where a structure can fail: each connected leg in its socket, each joint at a connected
 * pin, each pair of neighbouring pins on different nets, and the fitting of a socketed part.
 */
export function structurePlaces(part: StructurePart): StructurePlace[] {
  const connected = Object.keys(part.nets);
  const place = (structure: Structure, pins: readonly string[]): StructurePlace => ({
    structure,
    ref: part.ref,
    pins,
  });
  const neighbours = part.rows.flatMap((row) =>
    row.slice(1).flatMap((pin, index): [string, string][] => {
      const before = row[index];
      const adjacent = before !== undefined && Number(pin) - Number(before) === 1;
      return adjacent && part.nets[pin] !== undefined && part.nets[before] !== undefined
        ? [[before, pin]]
        : [];
    }),
  );
  return [
    ...(part.socketed ? connected.map((pin) => place("socket", [pin])) : []),
    ...connected.map((pin) => place("track", [pin])),
    ...neighbours
      .filter(([first, second]) => part.nets[first] !== part.nets[second])
      .map((pair) => place("bridge", pair)),
    ...(part.socketed ? [place("wrong-part", [])] : []),
  ];
}

/**
 * Rate of one place of a structure. Sockets: the handbook's rate of the whole socket shared by its pins
 * (section 15.2). Tracks: the handbook's machine-soldered joint (17.1) and plated hole (16.1, two planes) plus the
 * trade's allowance for cracked tracks. Bridges and wrong parts: the trade's allowance only.
 */
export function structurePlaceRate(data: FailureData, structure: Structure, pinCount: number): AppliedRate {
  const handbook = data["handbook-217f"];
  const { environment } = data["family-models"];
  const allowance = structureRate(data["trade-factors"], structure);
  const assumptions =
    allowance > 0 ? [`${allowance} of it is an allowance of the trade. (Common practice, no source.)`] : [];
  switch (structure) {
    case "socket": {
      const socket = socketRate(handbook, { pins: pinCount, quality: "lower", environment });
      return {
        ...socket,
        formula: `${socket.formula} / N`,
        factors: { ...socket.factors, N: pinCount },
        ratePerMillionHours: socket.ratePerMillionHours / pinCount + allowance,
        inputs: { pins: pinCount },
        assumptions,
      };
    }
    case "track": {
      const joint = connectionRate(handbook, { kind: "machine-solder", environment }).ratePerMillionHours;
      const hole = platedHoleRate(handbook, {
        machineSolderedHoles: 1,
        handSolderedHoles: 0,
        planes: 2,
        quality: "lower",
        environment,
      }).ratePerMillionHours;
      return {
        ratePerMillionHours: joint + hole + allowance,
        section: `${handbook.connection.section}, ${handbook.platedHole.section}`,
        formula: "joint + hole + allowance",
        factors: { joint, hole, allowance },
        inputs: {},
        assumptions,
      };
    }
    case "bridge":
    case "wrong-part":
      return {
        ratePerMillionHours: allowance,
        section: "none",
        formula: "estimate of the trade",
        factors: { allowance },
        inputs: {},
        assumptions,
      };
  }
}
