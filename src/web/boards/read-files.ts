import type { NewBoard } from "../../app/api/own-boards.js";
import type { ErrorBody } from "../../app/api/shapes.js";

/** Most bytes of all files together that are read; the server takes a little more. */
const mostBytes = 22_000_000;

/** The texts of files that somebody chose, or one sentence about the first that cannot be read. */
export async function readFiles(
  files: readonly File[],
): Promise<{ readonly files: NewBoard["files"] } | { readonly problem: ErrorBody["error"] }> {
  const total = files.reduce((sum, { size }) => sum + size, 0);
  if (total > mostBytes)
    return {
      problem: {
        code: "files-too-large",
        message: `These files have ${(total / 1e6).toFixed(1)} MB together; at most ${mostBytes / 1e6} MB are taken.`,
        hint: "Bring the netlist without the layout, or use 'boardwake board import'.",
      },
    };
  const texts: NewBoard["files"] = [];
  for (const file of files) {
    try {
      const text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
      texts.push({ name: file.name, text });
    } catch {
      return {
        problem: {
          code: "file-unreadable",
          message: `'${file.name}' cannot be read, or is no text in UTF-8.`,
          hint: "Choose the netlist, layout or board file itself, not an archive of it.",
        },
      };
    }
  }
  return { files: texts };
}
