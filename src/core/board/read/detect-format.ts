import type { Parsed } from "../../base/problem.js";
import { parseCsvNetlist } from "./csv-netlist.js";
import { parseEdif } from "./edif.js";
import { parseIpcD356 } from "./ipc-d-356.js";
import { type NetlistOptions, parseKicadNetlist } from "./kicad-netlist.js";
import { parseKicadPcb } from "./kicad-pcb.js";
import { parseKicadXmlNetlist } from "./kicad-xml-netlist.js";
import type { NetlistDraft } from "./netlist-draft.js";

/** Formats that a board can be read from, by the knowledge they bring, most first. */
export const boardFormats = ["kicad-netlist", "kicad-xml", "edif", "csv", "kicad-pcb", "ipc-d-356"] as const;
export type BoardFormat = (typeof boardFormats)[number];

/** What a format is called in sentences. */
export const formatTitles: Readonly<Record<BoardFormat, string>> = {
  "kicad-netlist": "KiCad netlist",
  "kicad-xml": "KiCad netlist in XML",
  edif: "EDIF netlist",
  csv: "table of pins",
  "kicad-pcb": "KiCad layout",
  "ipc-d-356": "IPC-D-356 netlist",
};

/** Endings of file names that stand for a board in one of the formats, with their dot, in lower case. */
export const boardFileEndings: readonly string[] = [
  ...[".net", ".kicad_pcb", ".xml", ".csv", ".tsv", ".edf", ".edif", ".edn", ".ipc", ".d356", ".356"],
];

const parsers: Readonly<
  Record<BoardFormat, (text: string, options: NetlistOptions) => Parsed<NetlistDraft>>
> = {
  "kicad-netlist": parseKicadNetlist,
  "kicad-xml": parseKicadXmlNetlist,
  edif: parseEdif,
  csv: parseCsvNetlist,
  "kicad-pcb": parseKicadPcb,
  "ipc-d-356": parseIpcD356,
};

/** The format of a text by how it begins; a table of pins if it begins like nothing else. Looks at 4,000 characters. */
export function detectFormat(text: string): BoardFormat {
  const start = text.slice(0, 4000).trimStart();
  if (start.startsWith("<")) return "kicad-xml";
  const word = /^\(\s*([A-Za-z_]+)/.exec(start)?.[1]?.toLowerCase();
  if (word === "kicad_pcb") return "kicad-pcb";
  if (word === "edif") return "edif";
  if (start.startsWith("(")) return "kicad-netlist";
  if (/^(C\s|P\s+\S|3[1-9][78].{14}\s{3})/m.test(start) && !/^\s*"?ref"?\s*[,;\t]/i.test(start))
    return "ipc-d-356";
  return "csv";
}

/** Reads a text in the format it begins like; problems and codes are those of its reader. */
export function readBoardText(
  text: string,
  options: NetlistOptions = {},
): Parsed<NetlistDraft> & { readonly format: BoardFormat } {
  const format = detectFormat(text);
  return { ...parsers[format](text, options), format };
}
