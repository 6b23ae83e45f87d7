import { describe, expect, it } from "vitest";
import type { Parsed } from "../../src/core/base/problem.js";
import { createRandom, type Random } from "../../src/core/base/random.js";
import { parseCsvNetlist } from "../../src/core/board/read/csv-netlist.js";
import { detectFormat } from "../../src/core/board/read/detect-format.js";
import { parseEdif } from "../../src/core/board/read/edif.js";
import { parseIpcD356 } from "../../src/core/board/read/ipc-d-356.js";
import { type NetlistOptions, parseKicadNetlist } from "../../src/core/board/read/kicad-netlist.js";
import { parseKicadPcb } from "../../src/core/board/read/kicad-pcb.js";
import { parseKicadXmlNetlist } from "../../src/core/board/read/kicad-xml-netlist.js";
import type { NetlistDraft } from "../../src/core/board/read/netlist-draft.js";
import { hostileSamples } from "./hostile-samples.js";

/*
 * 20,000 damaged texts for each reader of boards: it must throw nothing, come to an end, say with line and field what
 * is wrong, and whatever it returns must hold each reference and each pin once. The damage is seeded.
 */

type Reader = (text: string, options: NetlistOptions) => Parsed<NetlistDraft>;
const readers: Readonly<Record<keyof typeof hostileSamples, Reader>> = {
  "kicad-netlist": parseKicadNetlist,
  "kicad-xml": parseKicadXmlNetlist,
  "kicad-pcb": parseKicadPcb,
  "ipc-d-356": parseIpcD356,
  edif: parseEdif,
  csv: parseCsvNetlist,
};
const names: readonly (keyof typeof hostileSamples)[] = [
  "kicad-netlist",
  "kicad-xml",
  "kicad-pcb",
  "ipc-d-356",
  "edif",
  "csv",
];
const samplesForEach = 20_000;

const pieces: readonly string[] = [
  ...[
    "(",
    ")",
    '"',
    "\\",
    "\n",
    "\r",
    "\t",
    ",",
    ";",
    "<",
    ">",
    "&",
    "/>",
    "</",
    "<!--",
    "<![CDATA[",
    "<!DOCTYPE a [",
    "]]>",
  ],
  ...["\u0000", "\ufeff", "\ufffd", "\ud800", "é", "💡", "%", "%34%", "&#0;", "&#xffffff;", "&a;"],
  ...[
    "-1",
    "1e999",
    "NaN",
    "0",
    "9".repeat(40),
    "__proto__",
    "constructor",
    "U1",
    "1",
    "GND",
    "(net 1 GND)",
    "(at 1e9 x)",
  ],
  ...[
    "(".repeat(100),
    "<a>".repeat(100),
    '"'.repeat(51),
    "(cellRef top (libraryRef L))",
    "317",
    "999\n",
    "P  UNITS X\n",
  ],
];

function damage(text: string, random: Random): string {
  let hurt = text;
  for (let wounds = 1 + random.below(4); wounds > 0; wounds -= 1) {
    const at = random.below(hurt.length + 1);
    const length = 1 + random.below(60);
    const piece = pieces[random.below(pieces.length)] ?? "";
    const [before, cut, after] = [hurt.slice(0, at), hurt.slice(at, at + length), hurt.slice(at + length)];
    const ways = [
      before + after,
      before + cut + cut + after,
      before + piece + cut + after,
      before + piece + after,
      before,
    ];
    // Cutting the text short is rarer than the rest, or little would be left to read.
    hurt = ways[random.below(9) % 5] ?? before;
  }
  return hurt;
}

/** What any reader owes for any text. */
function expectAnswer({ value, problems }: Parsed<NetlistDraft>, text: string): void {
  const lines = text.split(/\r\n|\r|\n/).length;
  for (const { code, message, where } of problems) {
    const isPlaced =
      code === "too-many-problems" || (where.line !== undefined && where.line >= 1 && where.line <= lines);
    if (!isPlaced || where.file !== "f" || message.length > 1000 || !/^[a-z]+(-[a-z0-9]+)*$/.test(code))
      throw new Error(`${code} ${message} ${JSON.stringify(where)}`);
  }
  if (problems.length > 402) throw new Error(`${problems.length} problems`);
  if (value === undefined) {
    if (!problems.some(({ severity }) => severity === "error")) throw new Error("no value and no error");
    return;
  }
  const refs = new Set(value.components.map(({ ref }) => ref));
  if (refs.size !== value.components.length || refs.has("")) throw new Error("a reference is not single");
  const pins = value.nets.flatMap(({ nodes }) => nodes.map(({ ref, pin }) => `${ref}\u0000${pin}`));
  if (new Set(pins).size !== pins.length) throw new Error("a pin is not single");
  for (const { pads } of value.layout?.places.values() ?? [])
    for (const { xMillimetre, yMillimetre } of pads)
      if (!Number.isFinite(xMillimetre) || !Number.isFinite(yMillimetre))
        throw new Error("a place is no number");
}

describe.each(names)("the reader of %s", (name) => {
  const sound = hostileSamples[name];
  const read = readers[name];

  it("reads the sound text without a word", () => {
    const { value, problems } = read(sound, { file: "f" });
    expect(problems).toEqual([]);
    expect(value?.components.length).toBeGreaterThan(2);
    expect(detectFormat(sound)).toBe(name);
  });

  it("answers 20,000 damaged texts with a draft or with errors", () => {
    const random = createRandom(356);
    let drafts = 0;
    for (let i = 0; i < samplesForEach; i += 1) {
      const text = damage(sound, random);
      let answer: Parsed<NetlistDraft>;
      try {
        answer = read(text, { file: "f" });
        expectAnswer(answer, text);
      } catch (cause) {
        throw new Error(`seed 356, text ${i}: ${JSON.stringify(text)}`, { cause });
      }
      if ((answer.value?.nets.length ?? 0) > 0) drafts += 1;
    }
    // The damage must leave enough to work on, or nothing was tested.
    expect(drafts).toBeGreaterThan(samplesForEach / 4);
  });

  it("comes to an end with long runs of anything", () => {
    const [head, tail] = [sound.slice(0, sound.length / 2), sound.slice(sound.length / 2)];
    for (const piece of pieces) {
      const text = head + piece.repeat(Math.ceil(60_000 / piece.length)) + tail;
      expectAnswer(read(text, { file: "f" }), text);
    }
  });

  it("stops at the given length", () => {
    const { problems } = read(sound + sound, { file: "f", maximumCharacters: 40 });
    expect(problems.map(({ code }) => code)).toContain("input-too-large");
  });
});
