import type { Parsed, Problem } from "../core/base/problem.js";
import { type DraftFile, joinDrafts } from "../core/board/import-join.js";
import { boardFileEndings, readBoardText } from "../core/board/read/detect-format.js";
import { boardFromNetlist, type ImportedBoard } from "../core/board/recognise/board-from-netlist.js";
import type { ImportOverrides } from "../core/board/recognise/overrides.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";

/** Most bytes, and most characters, of a board file or a netlist. */
export const maximumBoardBytes = 50_000_000;

/** True for a path that by its name is a netlist or a layout. */
export function isImportable(path: string): boolean {
  const name = path.toLowerCase();
  return boardFileEndings.some((ending) => name.endsWith(ending));
}

/**
 * Makes one board from the texts of its netlists and layouts, with what was guessed; problems of reading, of joining and
 * of recognising together. The board is named after the first file. No board comes out if any file has an error.
 */
export function importTexts(
  store: Store,
  files: readonly TextFile[],
  overrides: ImportOverrides | undefined,
): ImportedBoard {
  const problems: Problem[] = [];
  const drafts: DraftFile[] = [];
  for (const { file, text } of files) {
    const read = readBoardText(text, { file, maximumCharacters: maximumBoardBytes });
    problems.push(...read.problems);
    // Half a file gives half a circuit, which would mislead every later step.
    if (read.value === undefined || read.problems.some(({ severity }) => severity === "error"))
      return { problems, guesses: [], localTypes: [] };
    drafts.push({ file, format: read.format, draft: read.value });
  }
  const joined: Parsed<DraftFile["draft"]> = joinDrafts(drafts);
  problems.push(...joined.problems);
  const [first] = files;
  if (joined.value === undefined || first === undefined) return { problems, guesses: [], localTypes: [] };
  const imported = boardFromNetlist(joined.value, {
    library: store.data.partLibrary(),
    recognition: store.data.recognition(),
    fileName: first.file,
    ...(overrides === undefined ? {} : { overrides }),
  });
  return { ...imported, problems: [...problems, ...imported.problems] };
}
