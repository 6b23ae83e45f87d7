import type { Parsed } from "../../base/problem.js";
import { type NetlistOptions, netlistOfTree } from "./kicad-netlist.js";
import type { NetlistDraft } from "./netlist-draft.js";
import { createProblemList } from "./problem-list.js";
import { readXml } from "./xml.js";

/**
 * Reads a KiCad netlist in its XML form (the intermediate netlist that is handed to scripts, versions 4 to 9). It says
 * the same as the s-expression form in the same words, attributes standing for inner lists, so the same rules apply;
 * codes are those of `parseKicadNetlist` and of `readXml`.
 */
export function parseKicadXmlNetlist(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const read = readXml(text, options);
  problems.addAll(read.problems);
  const value = netlistOfTree(read.value ?? [], problems);
  return { ...(value === undefined ? {} : { value }), problems: problems.all() };
}
