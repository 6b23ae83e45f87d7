import type { Parsed } from "../../base/problem.js";
import type { JsonOptions } from "../read/json-places.js";
import { readCheckedJson } from "../read/schema-problems.js";
import {
  type ChipNames,
  type LogicNames,
  type NetNames,
  type PlainRule,
  type RecognitionFile,
  recognitionFileSchema,
  type SectionNames,
} from "./schema.js";

/** All recognition data together. */
export interface RecognitionData {
  readonly logic: Pick<LogicNames, "series" | "families">;
  readonly makerPrefixes: readonly string[];
  readonly neverChips: readonly string[];
  readonly chips: ChipNames["chips"];
  readonly plainRules: readonly PlainRule[];
  readonly nets: Omit<NetNames, "$schema" | "formatVersion" | "sources" | "kind">;
  readonly sections: Pick<SectionNames, "families" | "types">;
}

/** Reads one file of `data/recognition/`. */
export function parseRecognitionFile(text: string, options: JsonOptions = {}): Parsed<RecognitionFile> {
  const read = readCheckedJson(text, recognitionFileSchema, options);
  return read.value === undefined
    ? { problems: read.problems }
    : { value: read.value.value, problems: read.problems };
}

/** Joins the files of `data/recognition/`, in any order; several of one kind are added to one another. */
export function joinRecognitionFiles(files: readonly RecognitionFile[]): RecognitionData {
  const logic: RecognitionData["logic"] = { series: [], families: [] };
  const nets: RecognitionData["nets"] = {
    ground: [],
    rails: [],
    unnamed: [],
    activeLow: [],
    socketFootprints: [],
  };
  const sections: RecognitionData["sections"] = { families: [], types: [] };
  const makerPrefixes: string[] = [];
  const neverChips: string[] = [];
  const chips: ChipNames["chips"] = [];
  const plainRules: PlainRule[] = [];
  for (const file of files) {
    switch (file.kind) {
      case "logic":
        logic.series.push(...file.series);
        logic.families.push(...file.families);
        break;
      case "chips":
        makerPrefixes.push(...file.makerPrefixes);
        neverChips.push(...file.neverChips);
        chips.push(...file.chips);
        break;
      case "plain":
        plainRules.push(...file.rules);
        break;
      case "nets":
        nets.ground.push(...file.ground);
        nets.rails.push(...file.rails);
        nets.unnamed.push(...file.unnamed);
        nets.activeLow.push(...file.activeLow);
        nets.socketFootprints.push(...file.socketFootprints);
        break;
      case "sections":
        sections.families.push(...file.families);
        sections.types.push(...file.types);
        break;
    }
  }
  return { logic, makerPrefixes, neverChips, chips, plainRules, nets, sections };
}
