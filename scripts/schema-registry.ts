import type { z } from "zod";
import { historyPhrasesSchema } from "../bench/histories/vocabulary.js";
import { demoJobSchema } from "../src/app/jobs/demo-jobs.js";
import { boardSchema } from "../src/core/board/board.js";
import { partTypeFileSchema } from "../src/core/board/part-type.js";
import { overridesSchema } from "../src/core/board/recognise/overrides.js";
import { recognitionFileSchema } from "../src/core/board/recognise/schema.js";
import { blocksSchema } from "../src/core/board/sketch/blocks.js";
import { knownSchema } from "../src/core/board/sketch/known.js";
import { usualWiringsSchema } from "../src/core/board/sketch/usual.js";
import { sourceFileSchema } from "../src/core/board/source.js";
import { deckLimitsFileSchema } from "../src/core/deck/limits.js";
import { caseSchema } from "../src/core/find/case/case.js";
import { findModelSchema } from "../src/core/find/model/model.js";
import { findCostsSchema } from "../src/core/find/plan/costs.js";
import { eventsSchema } from "../src/core/find/priors/events.js";
import { familyModelsSchema } from "../src/core/find/priors/family-model.js";
import { fieldFactorsSchema } from "../src/core/find/priors/field-data.js";
import { handbook217fSchema } from "../src/core/find/priors/handbook-217f/constants.js";
import { modeSharesSchema } from "../src/core/find/priors/mode-shares.js";
import { tradeFactorsSchema } from "../src/core/find/priors/trade-factors.js";
import { marchTestsFileSchema } from "../src/core/memory/march/march-tests.js";
import { tapeSchemeSchema } from "../src/core/tape/scheme.js";

/** A kind of file whose JSON Schema is written to data/schema. */
export interface FileKind {
  /** `data/schema/<name>.json`, which files of this kind name as their `$schema`. */
  readonly name: string;
  /** What such a file holds, in a few words. */
  readonly title: string;
  readonly schema: z.ZodType;
  /** Lists that must stand in ascending order of a key, so that two versions of a file can be compared. */
  readonly sorted?: readonly { readonly list: string; readonly by: string }[];
}

/** Every kind of file that has a schema, in the order of the names. A new kind of file is one line here. */
export const fileKinds: readonly FileKind[] = [
  {
    name: "blocks",
    title: "A machine described by its blocks, to be sketched",
    schema: blocksSchema,
  },
  {
    name: "board",
    title: "A board: parts, nets, phases and what the user sees of them",
    schema: boardSchema,
    sorted: [{ list: "parts", by: "ref" }],
  },
  {
    name: "case",
    title: "One machine's log, as far as finding its fault goes",
    schema: caseSchema,
  },
  {
    name: "deck-limits",
    title: "Limits that a cassette deck is judged by",
    schema: deckLimitsFileSchema,
    sorted: [{ list: "sets", by: "id" }],
  },
  {
    name: "demo-job",
    title: "A job that a new database begins with",
    schema: demoJobSchema,
  },
  {
    name: "events",
    title: "Mishaps and own work, and which faults they make likelier",
    schema: eventsSchema,
  },
  {
    name: "family-models",
    title: "How the failure-rate handbook is applied to each family of parts",
    schema: familyModelsSchema,
    sorted: [{ list: "families", by: "family" }],
  },
  {
    name: "field-factors",
    title: "Counts of faults in public repair histories",
    schema: fieldFactorsSchema,
  },
  {
    name: "find-costs",
    title: "What readings, swaps and repairs cost in minutes and money",
    schema: findCostsSchema,
  },
  {
    name: "find-model",
    title: "How crashed programs behave, what people report, how far instruments can be trusted",
    schema: findModelSchema,
  },
  {
    name: "handbook-217f",
    title: "Constants of the failure-rate formulas of MIL-HDBK-217F",
    schema: handbook217fSchema,
  },
  {
    name: "history-phrases",
    title: "What the words of repair histories mean",
    schema: historyPhrasesSchema,
  },
  {
    name: "march-tests",
    title: "March tests by name",
    schema: marchTestsFileSchema,
    sorted: [{ list: "tests", by: "id" }],
  },
  {
    name: "mode-shares",
    title: "Shares of the failure modes of each family, and how they show",
    schema: modeSharesSchema,
  },
  {
    name: "overrides",
    title: "What the user says about a board that a netlist cannot tell",
    schema: overridesSchema,
  },
  {
    name: "part-types",
    title: "Part types: pins, supply, behaviour",
    schema: partTypeFileSchema,
    sorted: [{ list: "types", by: "type" }],
  },
  {
    name: "recognition",
    title: "How the names of a netlist become part types, rails and sections",
    schema: recognitionFileSchema,
  },
  {
    name: "sketch-known",
    title: "What is known of a sketched board by now",
    schema: knownSchema,
  },
  {
    name: "sketch-wirings",
    title: "How a sketch wires the chips of its blocks",
    schema: usualWiringsSchema,
    sorted: [
      { list: "chips", by: "type" },
      { list: "aliases", by: "name" },
    ],
  },
  {
    name: "sources",
    title: "Sources that the data files draw on, with their licences",
    schema: sourceFileSchema,
    sorted: [{ list: "sources", by: "id" }],
  },
  {
    name: "tape-scheme",
    title: "A way to keep bytes on a tape: signal, framing, blocks",
    schema: tapeSchemeSchema,
  },
  {
    name: "trade-factors",
    title: "Factors and wear known to the trade",
    schema: tradeFactorsSchema,
    sorted: [
      { list: "families", by: "family" },
      { list: "ageing", by: "family" },
    ],
  },
];
