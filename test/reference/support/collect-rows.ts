import { existsSync, readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type CheckedRow, checkRow, type ReferenceRow } from "./check.js";

/** The checked rows of one folder. `title` is the first heading of its `source.md`. */
export interface ReferenceFolder {
  readonly folder: string;
  readonly title: string;
  readonly rows: readonly CheckedRow[];
}

interface RowsModule {
  referenceRows(): Promise<ReferenceRow[]>;
}

/** Runs every `test/reference/<folder>/rows.ts`, in the order of the folder names. */
export async function collectRows(): Promise<ReferenceFolder[]> {
  const root = fileURLToPath(new URL("..", import.meta.url));
  const result: ReferenceFolder[] = [];
  for (const folder of readdirSync(root).sort()) {
    if (!existsSync(`${root}/${folder}/rows.ts`)) continue;
    const module: unknown = await import(new URL(`../${folder}/rows.ts`, import.meta.url).href);
    if (!isRowsModule(module))
      throw new TypeError(`${folder}/rows.ts must export the function referenceRows`);
    const rows = (await module.referenceRows()).map(checkRow);
    result.push({ folder, title: firstHeading(`${root}/${folder}/source.md`) ?? folder, rows });
  }
  return result;
}

function isRowsModule(module: unknown): module is RowsModule {
  return (
    typeof module === "object" &&
    module !== null &&
    "referenceRows" in module &&
    typeof module.referenceRows === "function"
  );
}

function firstHeading(path: string): string | undefined {
  const text = existsSync(path) ? readFileSync(path, "utf8") : "";
  return /^#\s+(.+)$/m.exec(text)?.[1];
}
