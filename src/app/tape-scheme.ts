import { nearestName } from "../core/base/nearest.js";
import type { Parsed } from "../core/base/problem.js";
import { readCheckedJson } from "../core/board/read/schema-problems.js";
import { type TapeScheme, tapeSchemeSchema } from "../core/tape/scheme.js";
import type { Store } from "./passed-in.js";
import { usage } from "./usage.js";

/** Most bytes of a scheme file; far above any that makes sense. */
const maximumSchemeBytes = 100_000;

/**
 * The scheme a user names: the id of an installed one or the path of a scheme file. The value is absent if the file has
 * a flaw; the problems say where. Throws `usage` for a name that is neither, and `file-unreadable`.
 */
export function loadTapeScheme(store: Store, name: string): Parsed<TapeScheme> {
  const schemes = store.data.tapeSchemes();
  const installed = schemes.find(({ id }) => id === name);
  if (installed !== undefined) return { value: installed, problems: [] };
  if (!store.files.isFile(name)) {
    const ids = schemes.map(({ id }) => id);
    const near = nearestName(name, ids);
    const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
    throw usage(
      `There is no tape scheme called '${name}'.${meant} Schemes here: ${ids.join(", ")}; or give a file.`,
    );
  }
  const { file, text } = store.files.read(name, maximumSchemeBytes);
  const { value, problems } = readCheckedJson(text, tapeSchemeSchema, { file });
  return value === undefined ? { problems } : { value: value.value, problems };
}
