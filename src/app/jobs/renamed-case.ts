import type { Case, CaseEntry } from "../../core/find/case/case.js";

/**
 * A log in which nets go by the names that the grown board gives them: a reading made under a name that became part of
 * another line still tells of that line.
 */
export function renamedCase(logged: Case, renamed: ReadonlyMap<string, string>): Case {
  if (renamed.size === 0) return logged;
  return { ...logged, entries: logged.entries.map((entry) => renamedEntry(entry, renamed)) };
}

function renamedEntry(entry: CaseEntry, renamed: ReadonlyMap<string, string>): CaseEntry {
  const at = (place: string): string => {
    const [, prefix = "", net = ""] = /^(net:|)(.*)$/s.exec(place) ?? [];
    return prefix + (renamed.get(net) ?? net);
  };
  switch (entry.kind) {
    case "reading":
    case "removed":
      return { ...entry, at: at(entry.at) };
    case "symptom":
      return entry.lines === undefined ? entry : { ...entry, lines: entry.lines.map(at) };
    default:
      return entry;
  }
}
