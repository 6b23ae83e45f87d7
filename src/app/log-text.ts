import type { Case } from "../core/find/case/case.js";

/** Text of a log file: an entry a line, so that two versions of a log can be compared. */
export function renderLog(log: Case): string {
  const { entries, ...head } = log;
  const fields = Object.entries(head)
    .filter(([, value]) => value !== undefined)
    .map(([name, value]) => `  ${JSON.stringify(name)}: ${JSON.stringify(value)}`);
  const list = entries.map((entry) => `    ${JSON.stringify(entry)}`).join(",\n");
  return `{\n${[...fields, `  "entries": [${list === "" ? "" : `\n${list}\n  `}]`].join(",\n")}\n}\n`;
}
