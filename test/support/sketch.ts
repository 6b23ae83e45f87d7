import { createPartLibrary, type PartLibrary, parsePartLibrary } from "../../src/core/board/part-library.js";
import { type BlocksInput, blocksSchema } from "../../src/core/board/sketch/blocks.js";
import { type Sketch, type SketchData, sketchBoard } from "../../src/core/board/sketch/sketch.js";
import { usualWiringsSchema } from "../../src/core/board/sketch/usual.js";
import { readPartLibrary } from "./part-types.js";
import { readRepositoryFile } from "./source-files.js";

let data: SketchData | undefined;

/** What sketches are made with, as it is delivered; read once for each test file. */
export function installedSketchData(): SketchData {
  if (data !== undefined) return data;
  const file = "data/sketch/part-types.json";
  const { value: own, problems } = parsePartLibrary([{ file, text: readRepositoryFile(file) }]);
  if (own === undefined || problems.length > 0) throw new Error(JSON.stringify(problems));
  const usual = usualWiringsSchema.parse(JSON.parse(readRepositoryFile("data/sketch/usual-wirings.json")));
  const types = own.names().flatMap((name) => own.get(name) ?? []);
  data = { library: readPartLibrary(), types, usual };
  return data;
}

/** A sketch, and the library with the types it brings. */
export function sketched(input: BlocksInput): Sketch & { readonly library: PartLibrary } {
  const sketch = sketchBoard(blocksSchema.parse(input), installedSketchData());
  const library = readPartLibrary();
  const own = new Set(sketch.types.map(({ type }) => type));
  const rest = library.names().flatMap((name) => (own.has(name) ? [] : (library.get(name) ?? [])));
  return { ...sketch, library: createPartLibrary([...rest, ...sketch.types]) };
}

/** A small machine of that processor; `more` replaces blocks. */
export function blocksOf(processor: string, more: Partial<BlocksInput> = {}): BlocksInput {
  return {
    formatVersion: 1,
    id: "sketch",
    title: "Sketch",
    processor: { type: blocksSchema.shape.processor.shape.type.parse(processor) },
    roms: [{ type: "2764", count: 2 }],
    ram: [{ type: "6116", chips: 2 }],
    ...more,
  };
}
