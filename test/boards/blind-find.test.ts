import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parseKicadNetlist } from "../../src/core/board/read/kicad-netlist.js";
import type { DraftComponent, NetlistDraft } from "../../src/core/board/read/netlist-draft.js";
import { boardFromNetlist, withLocalTypes } from "../../src/core/board/recognise/board-from-netlist.js";
import { findFaults } from "../../src/core/find/find.js";
import { type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import { blindnessOf, blindnessSentence } from "../../src/core/find/result/blindness.js";
import { testDataPath } from "../reference/support/check.js";
import { readPartLibrary } from "../support/part-types.js";
import { caseOf, entry, installedFindData, type TypedEntry } from "../support/prepared-board.js";
import { readRecognitionData } from "../support/recognition.js";

const path = "boards/easy-z80/Easy_Z80.net";
const file = testDataPath(path);
const absent = `the test data ${path} is not here (see BOARDWAKE_TEST_DATA)`;
const keepEvery = 4;

/** The netlist with every fourth chip under a house number nobody knows; the processor and the memories stay. */
function blinded(draft: NetlistDraft): NetlistDraft {
  const isGlue = ({ ref, value }: DraftComponent): boolean =>
    /^U\d/.test(ref) && /^74|^Z80 (CTC|SIO|PIO)|MAX|GAL|ATF|16V8/i.test(value);
  const hidden = new Set(
    draft.components
      .filter(isGlue)
      .filter((_, i) => i % 2 === 0)
      .map(({ ref }) => ref),
  );
  const components = draft.components.map((component) =>
    hidden.has(component.ref)
      ? {
          ...component,
          value: `HOUSE-${component.ref}`,
          libraryPart: `HOUSE-${component.libraryPart}`,
          description: "",
        }
      : component,
  );
  const libraryParts = draft.libraryParts.flatMap((part) => [
    part,
    { ...part, part: `HOUSE-${part.part}`, aliases: [], description: "" },
  ]);
  return { ...draft, components, libraryParts };
}

function prepare(): PreparedBoard | undefined {
  if (file === null) return undefined;
  const { value: draft } = parseKicadNetlist(readFileSync(file, "utf8"), { file });
  if (draft === undefined) throw new Error(`${path} was not read`);
  const library = readPartLibrary();
  const imported = boardFromNetlist(blinded(draft), {
    library,
    recognition: readRecognitionData(),
    fileName: path,
  });
  if (imported.value === undefined) throw new Error(JSON.stringify(imported.problems));
  return prepareBoard(imported.value, {
    ...installedFindData(),
    types: withLocalTypes(library, imported.localTypes),
  });
}

describe("a real board of which a quarter of the chips is unknown", () => {
  const prepared = prepare();
  const first = (
    count: number,
    entries: readonly TypedEntry[],
  ): { refs: string[]; warnings: readonly string[] } => {
    if (prepared === undefined) throw new Error(absent);
    const limits = { candidates: 6, settle: 6 };
    const result = findFaults(prepared, caseOf(entries), { steps: 0, explained: 0, pairLimits: limits });
    return { refs: result.suspects.slice(0, count).map(({ part }) => part), warnings: result.warnings };
  };

  it("says how blind the rankings are, and which nets it cannot explain", ({ skip }) => {
    if (prepared === undefined) return skip(absent);
    const { unknown, chips, nets, drivenNets } = blindnessOf(prepared.circuit);
    expect(unknown.length / chips).toBeGreaterThanOrEqual(1 / keepEvery);
    expect(nets).toBeGreaterThan(0);
    expect(nets).toBeLessThan(drivenNets);
    const { warnings } = first(3, [entry.gate]);
    expect(warnings.join("\n")).toContain(blindnessSentence({ unknown, chips, nets, drivenNets }));
    for (const { net } of prepared.circuit.unexplained.slice(0, 1))
      expect(warnings.join("\n")).toContain(net);
  });

  it("still keeps to the parts on a shorted supply, and to the clock behind a processor that stands still", ({
    skip,
  }) => {
    if (prepared === undefined) return skip(absent);
    const onNet = (net: string): string[] =>
      prepared.board.parts.filter(({ pins }) => Object.values(pins).includes(net)).map(({ ref }) => ref);
    const short = first(6, [
      { kind: "reading", at: "net:VCC", with: "multimeter", when: "unpowered", shows: "short" },
    ]).refs;
    // The memory's own rail hangs on VCC.
    const fed = [...onNet("VCC"), ...onNet("VRAM")];
    expect(short.filter((ref) => !fed.includes(ref))).toEqual([]);
    const cpu = prepared.board.parts.find(({ ref }) => ref === prepared.board.processor);
    const clock = cpu?.pins["6"] ?? "";
    const still = first(4, [
      entry.gate,
      { kind: "reading", at: `net:${clock}`, with: "oscilloscope", shows: "low" },
    ]).refs;
    expect(onNet(clock)).toContain(still[0]);
  });
});
