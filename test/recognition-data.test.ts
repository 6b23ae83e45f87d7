import { describe, expect, it } from "vitest";
import { readChipNumber } from "../src/core/board/recognise/chip-number.js";
import { recognisePart } from "../src/core/board/recognise/recognise-part.js";
import { readPartLibrary } from "./support/part-types.js";
import { readRecognitionData } from "./support/recognition.js";

const library = readPartLibrary();
const data = readRecognitionData();

// Chips whose numbers are known so that they are not mistaken for another; a part type for them may come later.
const withoutType = new Set([
  "Z80-DMA",
  "Z80-SIO-1",
  "Z80-SIO-2",
  "6847",
  "6809E",
  "20V8",
  "22V10",
  "oscillator-module-half",
]);

describe("the recognition data", () => {
  it("leads to types the part library has", () => {
    const entries = [...data.chips, ...data.plainRules].filter((entry) => entry.types.length > 0);
    const missing = entries.filter(({ types }) => !types.some((type) => library.get(type) !== undefined));
    expect(missing.map(({ types }) => types[0] ?? "").filter((type) => !withoutType.has(type))).toEqual([]);
  });

  it("recognises every chip of the library by its own name", () => {
    const lost = library.names().filter((name) => {
      if (library.get(name)?.pins === "as-board") return false;
      const facts = {
        ref: "U1",
        value: name,
        libraryPart: "",
        footprint: "",
        connectedPins: [],
        pinName: () => "",
      };
      const found = recognisePart(facts, library, data);
      return found.kind !== "part" || found.part.type !== name || found.part.certainty !== "sure";
    });
    expect(lost).toEqual([]);
  });

  it("reads every number it lists as the chip it lists it for", () => {
    const wrong = data.chips.flatMap((chip) =>
      chip.stems
        .map((stem) => stem.replaceAll("#", "0"))
        .filter((printed) => readChipNumber(printed, data)?.types !== chip.types),
    );
    expect(wrong).toEqual([]);
  });

  it("names each net pattern for one duty only", () => {
    const patterns = [...data.nets.ground, ...data.nets.rails.flatMap((rail) => rail.names)];
    expect(patterns.filter((pattern, i) => patterns.indexOf(pattern) !== i)).toEqual([]);
  });
});
