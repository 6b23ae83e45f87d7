import { describe, expect, it } from "vitest";
import { partTypeFileSchema } from "../../src/core/board/part-type.js";
import { renderPartTypeFile } from "../../src/core/board/part-type-text.js";
import {
  behaviourOf,
  pinsOfKind,
  readPartLibrary,
  readPartTypeTexts,
  typeNamed,
} from "../support/part-types.js";

const library = readPartLibrary();
const types = library.names().map((name) => typeNamed(library, name));

describe("data/part-types", () => {
  it.each([...readPartTypeTexts()])("%s is in its canonical form", (path, text) => {
    const file = partTypeFileSchema.parse(JSON.parse(text));
    expect(text, `run: npx tsx scripts/format-part-types.ts (${path})`).toBe(renderPartTypeFile(file));
  });

  it("gives a dual-in-line package as many pins as its name says", () => {
    for (const type of types) {
      const count = /^DIP(\d+)$/.exec(type.package)?.[1];
      if (count === undefined || type.pins === "as-board") continue;
      const numbers = type.pins.map((pin) => Number(pin.number)).sort((a, b) => a - b);
      // An oscillator module has pins only in the four corners.
      const wanted =
        type.type === "oscillator-module"
          ? [1, 7, 8, 14]
          : Array.from({ length: Number(count) }, (_, i) => i + 1);
      expect([type.type, numbers]).toEqual([type.type, wanted]);
    }
  });

  it("gives every integrated circuit supply pins, and a rail for each that must be fed", () => {
    // What a battery backs up is no rail of its own.
    const fedByItself = new Set(["MAX693 VBATT", "MAX693 VOUT"]);
    for (const type of types) {
      if (type.pins === "as-board" || !/^DIP/.test(type.package)) continue;
      expect(pinsOfKind(type, "ground", "power").length, type.type).toBeGreaterThanOrEqual(2);
      const railed = new Set(type.rails.map((rail) => rail.pin));
      for (const pin of pinsOfKind(type, "power")) {
        if (!fedByItself.has(`${type.type} ${pin}`)) expect(railed, `${type.type} ${pin}`).toContain(pin);
      }
    }
  });

  it("states the size of every part that a failure-rate handbook rates by size", () => {
    const bySize = new Set([
      "logic-bipolar",
      "logic-mos",
      "dram",
      "sram",
      "rom",
      "eprom",
      "microprocessor",
      "peripheral",
    ]);
    for (const type of types) {
      if (bySize.has(type.family)) expect(type.complexity, type.type).toBeDefined();
    }
  });

  it("calls a pin table seen only beside the source it was compared with", () => {
    const books = new Set(
      types.flatMap(({ sources }) => sources.map(({ id }) => id)).filter((id) => /book/.test(id)),
    );
    expect(books.size).toBeGreaterThan(3);
    for (const { type, sources } of types) {
      for (const { id, confidence } of sources) {
        const compared = !books.has(id) && id !== "common-practice";
        expect(`${type}: ${id} ${confidence}`).toBe(`${type}: ${id} ${compared ? "seen" : "memory"}`);
      }
    }
  });
});

describe("processors", () => {
  const processors = types.filter((type) => type.behaviour.kind === "processor").map((type) => type.type);

  it.each(processors)("%s gives the level of every control output in every cycle", (name) => {
    const { address, data, clockOutputs, cycles } = behaviourOf(library, name, "processor");
    // What these pins show depends on the program, not on the cycle.
    const byProgram = name === "8085" ? ["SOD"] : name === "8080" ? ["INTE"] : [];
    const others = new Set([...address, ...data, ...(clockOutputs ?? []), ...byProgram]);
    const controls = pinsOfKind(typeNamed(library, name), "out", "tri").filter((pin) => !others.has(pin));
    for (const [cycle, levels] of Object.entries(cycles)) {
      expect([cycle, Object.keys(levels).sort()]).toEqual([cycle, controls.sort()]);
    }
  });

  it.each(processors)("%s has the cycles every processor has", (name) => {
    const { cycles } = behaviourOf(library, name, "processor");
    expect(Object.keys(cycles)).toEqual(
      expect.arrayContaining(["fetch", "memory-read", "memory-write", "idle"]),
    );
  });

  /** The pins that are active in each cycle, from memory of the data sheets; the rest are at rest. */
  const active: Record<string, { rest: Record<string, "low" | "high">; cycles: Record<string, string> }> = {
    Z80: {
      rest: Object.fromEntries(
        ["/M1", "/MREQ", "/IORQ", "/RD", "/WR", "/RFSH", "/HALT", "/BUSACK"].map((pin) => [pin, "high"]),
      ),
      cycles: {
        fetch: "/M1 /MREQ /RD",
        refresh: "/MREQ /RFSH",
        "memory-read": "/MREQ /RD",
        "memory-write": "/MREQ /WR",
        "io-read": "/IORQ /RD",
        "io-write": "/IORQ /WR",
        idle: "",
      },
    },
    "6502": {
      rest: { "R_/W": "high", SYNC: "low" },
      cycles: { fetch: "SYNC", "memory-read": "", "memory-write": "R_/W", idle: "" },
    },
    "65C02S": {
      rest: { "R_/W": "high", SYNC: "low", "/VP": "high", "/ML": "high" },
      cycles: { fetch: "SYNC", "memory-read": "", "memory-write": "R_/W", idle: "" },
    },
    "6510": {
      rest: { "R_/W": "high" },
      cycles: { fetch: "", "memory-read": "", "memory-write": "R_/W", idle: "" },
    },
    "6800": {
      rest: { "R_/W": "high", VMA: "low", BA: "low" },
      cycles: { fetch: "VMA", "memory-read": "VMA", "memory-write": "VMA R_/W", idle: "" },
    },
    "6809": {
      rest: { "R_/W": "high", BA: "low", BS: "low" },
      cycles: { fetch: "", "memory-read": "", "memory-write": "R_/W", idle: "" },
    },
    "8080": {
      rest: { DBIN: "low", "/WR": "high", SYNC: "low", WAIT: "low", HLDA: "low" },
      cycles: {
        fetch: "DBIN",
        "memory-read": "DBIN",
        "memory-write": "/WR",
        "io-read": "DBIN",
        "io-write": "/WR",
        idle: "",
      },
    },
    "8085": {
      rest: {
        "/RD": "high",
        "/WR": "high",
        "/INTA": "high",
        "IO_/M": "low",
        S0: "low",
        S1: "low",
        ALE: "low",
        HLDA: "low",
        RESET_OUT: "low",
      },
      cycles: {
        fetch: "/RD S0 S1",
        "memory-read": "/RD S1",
        "memory-write": "/WR S0",
        "io-read": "/RD IO_/M S1",
        "io-write": "/WR IO_/M S0",
        // Between two transfers the address of the next one is latched.
        idle: "ALE",
      },
    },
  };

  it.each(Object.entries({ ...active, "65C02": active["6502"] ?? { rest: {}, cycles: {} } }))(
    "%s strobes what its data sheet says",
    (name, { rest, cycles }) => {
      const wanted = Object.fromEntries(
        Object.entries(cycles).map(([cycle, pins]) => {
          const levels = Object.entries(rest).map(([pin, level]) => {
            const other = level === "low" ? "high" : "low";
            return [pin, pins.split(" ").includes(pin) ? other : level];
          });
          return [cycle, Object.fromEntries(levels)];
        }),
      );
      expect(behaviourOf(library, name, "processor").cycles).toEqual(wanted);
    },
  );
});
