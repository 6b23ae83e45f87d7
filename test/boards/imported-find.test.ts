import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parseKicadNetlist } from "../../src/core/board/read/kicad-netlist.js";
import { boardFromNetlist, withLocalTypes } from "../../src/core/board/recognise/board-from-netlist.js";
import type { ImportOverrides } from "../../src/core/board/recognise/overrides.js";
import type { Case } from "../../src/core/find/case/case.js";
import { findFaults } from "../../src/core/find/find.js";
import { standing } from "../../src/core/find/practice/plan-policy.js";
import { practiceInstruments, truthOf } from "../../src/core/find/practice/play.js";
import { readingOfStep } from "../../src/core/find/practice/step.js";
import { createWorld } from "../../src/core/find/practice/world.js";
import { type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import type { FindResult } from "../../src/core/find/result/result.js";
import { testDataPath } from "../reference/support/check.js";
import { readPartLibrary } from "../support/part-types.js";
import { installedFindData } from "../support/prepared-board.js";
import { readRecognitionData } from "../support/recognition.js";

interface Game {
  readonly what: string;
  readonly fault: string;
  /** Worst place of the true part that is allowed; 3 unless a reason is given. */
  readonly within: number;
}

interface Sample {
  readonly path: string;
  readonly overrides: ImportOverrides;
  readonly games: readonly Game[];
}

const game = (what: string, fault: string, within = 3): Game => ({ what, fault, within });
const joined = (refs: readonly string[], ...pair: [string, string]): Record<string, [string, string][]> =>
  Object.fromEntries(refs.map((ref): [string, [string, string][]] => [ref, [pair]]));

const samples: readonly Sample[] = [
  {
    path: "boards/easy-z80/Easy_Z80.net",
    overrides: {},
    games: [
      game("a supply shorted by a capacitor", "C1:short"),
      game("no clock", "QG1:no-oscillation:8"),
      game("a data line held low", "U1:output-stuck-low:14"),
      game("a dead memory chip", "U4:supply-open:32"),
      game("a dead program chip", "U5:supply-open:32"),
    ],
  },
  {
    path: "boards/kz80-tms9918a-dram/KZ80-TMS9918A-DRAM-1bit.net",
    overrides: {
      jumpers: {
        ...joined(["J2", "J4", "JP2"], "1", "2"),
        ...joined(["JP1"], "2", "3"),
        ...joined(["J5"], "3", "4"),
      },
    },
    games: [
      game("a supply shorted by a capacitor", "C10:short"),
      game("no clock at the video chip", "Y1:no-oscillation"),
      game("a data line held low", "U1:output-stuck-low:24"),
      game("a dead memory chip", "U8:data-bit-lost"),
    ],
  },
  {
    path: "boards/rc6502-cards/RC6502_CPU.net",
    overrides: { jumpers: joined(["J2", "J4", "JP1", "JP2"], "1", "2") },
    games: [
      game("a supply shorted by a capacitor", "C1:short"),
      game("no clock", "X1:no-oscillation:8"),
      game("a data line held low", "U1:output-stuck-low:33"),
    ],
  },
  {
    path: "boards/rc6502-cards/RC6502_RAM.net",
    overrides: { jumpers: joined(["JP3", "JP4", "JP5", "JP6", "JP7", "JP8", "JP12", "JP13"], "2", "3") },
    games: [
      game("a supply shorted by a capacitor", "C1:short"),
      game("no clock from the bus", "J3:contact-open:19"),
      game("a data line held low", "U1:output-stuck-low:11"),
      game("a dead memory chip", "U1:supply-open:28"),
    ],
  },
];

const library = readPartLibrary();
const recognition = readRecognitionData();
const maximumReadings = 12;

function prepare({ path, overrides }: Sample): PreparedBoard | undefined {
  const file = testDataPath(path);
  if (file === null) return undefined;
  const { value: draft } = parseKicadNetlist(readFileSync(file, "utf8"), { file });
  if (draft === undefined) throw new Error(`${path} was not read`);
  const imported = boardFromNetlist(draft, { library, recognition, fileName: path, overrides });
  if (imported.value === undefined) throw new Error(JSON.stringify(imported.problems));
  const types = withLocalTypes(library, imported.localTypes);
  return prepareBoard(imported.value, { ...installedFindData(), types });
}

describe.each(samples)("finding on $path", (sample) => {
  const prepared = prepare(sample);
  const absent = `the test data ${sample.path} is not here (see BOARDWAKE_TEST_DATA)`;
  const world = prepared === undefined ? undefined : createWorld(prepared);
  // Games start alike: what has been worked out for a log serves all of them.
  const known = new Map<string, FindResult>();

  function find(board: PreparedBoard, entries: Case["entries"]): FindResult {
    const key = JSON.stringify(entries);
    const before = known.get(key);
    if (before !== undefined) return before;
    const logged: Case = { board: board.board.id, instruments: [...practiceInstruments], entries };
    const result = findFaults(board, logged, { steps: 1, pairLimits: { candidates: 6, settle: 6 } });
    known.set(key, result);
    return result;
  }

  it("explains every net of the healthy board", ({ skip }) => {
    if (prepared === undefined) return skip(absent);
    expect(prepared.circuit.unexplained).toEqual([]);
  });

  for (const { what, fault: id, within } of sample.games) {
    it(`has ${what} (${id}) among the first ${within}`, ({ skip }) => {
      if (prepared === undefined || world === undefined) return skip(absent);
      const { space } = world;
      const fault = space.faults.find((one) => one.id === id && one.manifestation === "permanent");
      if (fault === undefined) throw new Error(`the board has no fault ${id}`);
      const view = space.views[space.table.firstRow[fault.effect] ?? -1];
      if (view === undefined) throw new Error(`the fault ${id} has no row`);
      const entries: Case["entries"] = [
        { kind: "symptom", what: "dead" },
        { kind: "gate", id: "supply", state: "passed" },
      ];
      let result = find(prepared, entries);
      for (let readings = 0; readings < maximumReadings && !result.stop; readings += 1) {
        const step = result.next[0];
        if (step?.action !== "reading") break;
        const { look, entryOf } = readingOfStep(space, step);
        // The likeliest answer: what is tested is the way to the part, not luck with the probe.
        const count = look.outcomes.length;
        const code = look.codeOf(view, [fault]);
        const chances = look.likelihood.subarray(code * count, (code + 1) * count);
        entries.push(entryOf(look.outcomes[chances.indexOf(Math.max(...chances))] ?? ""));
        result = find(prepared, entries);
      }
      expect(result.problems).toEqual([]);
      expect(standing(result)(truthOf(prepared, { world, fault, view })).place).toBeLessThanOrEqual(within);
    }, 60_000);
  }
});
