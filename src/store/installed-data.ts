import { readdirSync } from "node:fs";
import { basename, join } from "node:path";
import type { z } from "zod";
import { BoardwakeError } from "../core/base/errors.js";
import { type Parsed, type Problem, renderProblem } from "../core/base/problem.js";
import { createPartLibrary, type PartLibrary, parsePartLibrary } from "../core/board/part-library.js";
import { type PartType, partTypeFileSchema } from "../core/board/part-type.js";
import { partTypeFlaws } from "../core/board/part-type-flaws.js";
import { readCheckedJson } from "../core/board/read/schema-problems.js";
import {
  joinRecognitionFiles,
  parseRecognitionFile,
  type RecognitionData,
} from "../core/board/recognise/recognition-data.js";
import type { SketchData } from "../core/board/sketch/sketch.js";
import { usualWiringsSchema } from "../core/board/sketch/usual.js";
import { type DeckLimitsFile, deckLimitsFileSchema } from "../core/deck/limits.js";
import { type FindModel, findModelSchema } from "../core/find/model/model.js";
import { type FindCosts, findCostsSchema } from "../core/find/plan/costs.js";
import { type FailureData, failureSchemas, readFailureData } from "../core/find/priors/failure-data.js";
import {
  marchTestsFileSchema,
  type NamedMarchTest,
  namedMarchTests,
} from "../core/memory/march/march-tests.js";
import { type TapeScheme, tapeSchemeSchema } from "../core/tape/scheme.js";
import { readTextFile, systemReason, type TextFile } from "./text-file.js";

/** The data files that come with the program; each is read when it is first asked for, and kept. */
export interface InstalledData {
  /** Ids of the boards that come with the program, sorted. */
  boardIds(): readonly string[];
  /** Text of an installed board's file. */
  boardFile(id: string): TextFile;
  partLibrary(): PartLibrary;
  recognition(): RecognitionData;
  findModel(): FindModel;
  findCosts(): FindCosts;
  failureData(): FailureData;
  /** What sketches are made with besides the library: types that only they use, and the usual wirings. */
  sketch(): Omit<SketchData, "library">;
  /** The march tests by name, in the order of their ids. */
  marchTests(): readonly NamedMarchTest[];
  /** The ways to keep bytes on a tape that come with the program, in the order of their ids. */
  tapeSchemes(): readonly TapeScheme[];
  /** Limits that a cassette deck is judged by. */
  deckLimits(): DeckLimitsFile;
  /** Text of the log that the guided session replays. */
  demoLog(): TextFile;
  /** Texts of the jobs that a new database begins with, in the order of their names. */
  demoJobs(): readonly TextFile[];
}

/** Most bytes read from one installed file; far above any of ours. */
const maximumBytes = 50_000_000;

/**
 * Opens a folder of data files. Whatever is asked of it throws `data-broken` if a file is missing or damaged, naming
 * the file and the first flaw.
 */
export function openInstalledData(folder: string): InstalledData {
  const read = (path: string): TextFile => {
    try {
      return { file: `data/${path}`, text: readTextFile(join(folder, path), maximumBytes).text };
    } catch (cause) {
      const reason = cause instanceof BoardwakeError ? cause.message : systemReason(cause);
      throw broken(`data/${path}`, reason, cause);
    }
  };
  const list = (path: string): string[] => {
    try {
      return readdirSync(join(folder, path))
        .filter((name) => name.endsWith(".json"))
        .sort();
    } catch (cause) {
      throw broken(`data/${path}`, `${systemReason(cause)}.`, cause);
    }
  };
  return {
    boardIds: once(() => list("boards").map((name) => basename(name, ".json"))),
    boardFile: (id) => read(`boards/${id}.json`),
    partLibrary: once(() => {
      const texts = list("part-types").map((name) => read(`part-types/${name}`));
      return quickLibrary(texts) ?? sound("data/part-types", parsePartLibrary(texts));
    }),
    recognition: once(() =>
      joinRecognitionFiles(
        list("recognition").map((name) => {
          const { file, text } = read(`recognition/${name}`);
          return sound(file, parseRecognitionFile(text, { file }));
        }),
      ),
    ),
    findModel: once(() => readOne(read("find/model.json"), findModelSchema)),
    findCosts: once(() => readOne(read("find/costs.json"), findCostsSchema)),
    failureData: once(() => {
      const parsed = Object.keys(failureSchemas).map((name): [string, unknown] => [
        name,
        parseJson(read(`failure/${name}.json`)),
      ]);
      return sound("data/failure", readFailureData(Object.fromEntries(parsed)));
    }),
    sketch: once(() => {
      const text = read("sketch/part-types.json");
      const types = sound(text.file, parsePartLibrary([text]));
      const usual = readOne(read("sketch/usual-wirings.json"), usualWiringsSchema);
      return { types: types.names().flatMap((name) => types.get(name) ?? []), usual };
    }),
    marchTests: once(() => namedMarchTests(readOne(read("memory/march-tests.json"), marchTestsFileSchema))),
    tapeSchemes: once(() =>
      list("tape-schemes").map((name) => readOne(read(`tape-schemes/${name}`), tapeSchemeSchema)),
    ),
    deckLimits: once(() => readOne(read("deck/limits.json"), deckLimitsFileSchema)),
    demoJobs: once(() => list("demo/jobs").map((name) => read(`demo/jobs/${name}`))),
    demoLog: once(() => read("demo/first-session.json")),
  };
}

function once<T extends object>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

/**
 * The library of sound files, or undefined: the reader that knows where in a file a flaw stands takes four times as
 * long, and is needed only when there is one.
 */
function quickLibrary(texts: readonly TextFile[]): PartLibrary | undefined {
  const types: PartType[] = [];
  for (const { text } of texts) {
    const file = quickValue(text, partTypeFileSchema);
    if (file === undefined) return undefined;
    types.push(...file.types);
  }
  const isUnique = new Set(types.map(({ type }) => type)).size === types.length;
  return isUnique && types.every((type) => partTypeFlaws(type).length === 0)
    ? createPartLibrary(types)
    : undefined;
}

/** The value of a JSON text that fits a schema, or undefined. */
function quickValue<T>(text: string, schema: z.ZodType<T>): T | undefined {
  try {
    return schema.safeParse(JSON.parse(text)).data;
  } catch {
    return undefined;
  }
}

function readOne<T>({ file, text }: TextFile, schema: z.ZodType<T>): T {
  const quick = quickValue(text, schema);
  if (quick !== undefined) return quick;
  const { value, problems } = readCheckedJson(text, schema, { file });
  return sound(file, value === undefined ? { problems } : { value: value.value, problems });
}

function parseJson({ file, text }: TextFile): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw broken(file, "it is no JSON.", cause);
  }
}

/** The value, if nothing at all is wrong with it: what is installed has no business being flawed. */
function sound<T>(file: string, { value, problems }: Parsed<T>): T {
  const [first] = problems;
  if (first !== undefined) throw broken(first.where.file ?? file, renderProblem(withoutFile(first)));
  if (value === undefined) throw broken(file, "it holds nothing usable.");
  return value;
}

function withoutFile({ where: { file: _, ...where }, ...problem }: Problem): Problem {
  return { ...problem, where };
}

function broken(file: string, problem: string, cause?: unknown): BoardwakeError {
  return new BoardwakeError("data-broken", { file, problem }, cause);
}
